// Lengths as the keypad and a laser meter type them, in whole nanometers. The server reads what is sent again
// and is the judge: what can't be read here is sent as it was typed.

export const INCH = 25_400_000;
export const FOOT = 304_800_000;
const METER = 1_000_000_000;
const UNITS = { ft: FOOT, in: INCH, m: METER, cm: METER / 100, mm: METER / 1000 };
const MARKS = { "'": "ft", ft: "ft", '"': "in", in: "in", m: "m", cm: "cm", mm: "mm" };
const NUMBER = String.raw`\d+[ -]\d+\/\d+|\d+\/\d+|\d*\.\d+|\d+\.?`;
const PAIR = new RegExp(String.raw`^(\d+) ?(?:'|ft)[ -]*(${NUMBER}) ?(?:"|in)?$`);
const ONE = new RegExp(String.raw`^(${NUMBER}) ?('|"|ft|in|mm|cm|m)?$`);

function amount(text) {
  const [, whole, top, bottom] = /^(?:(\d+)[ -])?(\d+)\/(\d+)$/.exec(text) ?? [];
  if (!bottom) return Number(text);
  const usable = Number(bottom) <= 64 && Number.isInteger(Math.log2(Number(bottom))) && Number(top) < Number(bottom);
  return usable ? Number(whole ?? 0) + Number(top) / Number(bottom) : NaN;
}

// The length in nanometers, or null. `bare` is the unit of a number without a mark.
export function readLength(text, bare) {
  const plain = text.trim().toLowerCase().replace(/[’′]/g, "'").replace(/[”″]|''/g, '"').replace(/\s+/g, " ");
  let nm = NaN;
  const pair = PAIR.exec(plain);
  const one = ONE.exec(plain);
  if (pair) {
    const inches = amount(pair[2]);
    if (inches < 12) nm = Number(pair[1]) * FOOT + inches * INCH;
  } else if (one) nm = amount(one[1]) * UNITS[one[2] ? MARKS[one[2]] : bare];
  nm = Math.round(nm);
  return nm > 0 && nm <= 1000 * FOOT ? nm : null;
}

function withFraction(sixteenths) {
  let [top, bottom] = [sixteenths, 16];
  while (top && top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  return top ? `${top}/${bottom}` : "";
}

// A length as a tape shows it: 12' 6-1/2", in metric 3.820 m; halfway between two marks, the longer.
export function formatLength(nm, metric) {
  if (metric) {
    const millimeters = Math.floor((2 * nm + METER / 1000) / (METER / 500));
    if (millimeters > 0 && millimeters < 100) return `${millimeters} mm`;
    return `${Math.floor(millimeters / 1000)}.${String(millimeters % 1000).padStart(3, "0")} m`;
  }
  const all = Math.floor((32 * nm + INCH) / (2 * INCH));
  const feet = Math.floor(all / 192);
  const inches = Math.floor((all % 192) / 16);
  const parts = inches || feet || !(all % 16) ? [String(inches)] : [];
  if (all % 16) parts.push(withFraction(all % 16));
  return feet ? `${feet}' ${parts.join("-")}"` : `${parts.join("-")}"`;
}

export function inWords(nm, metric) {
  const meters = `${(nm / METER).toFixed(3)} m`;
  if (metric) return meters;
  return `${formatLength(nm, false).replace("'", " ft").replace('"', " in").replace("-", " ")} (${meters})`;
}

// What the text becomes by a key: digits, ' and ", a point, a fraction that adds up (1/2 then 1/4 is 3/4).
export function withKey(text, key) {
  const [, before, top, bottom] = /^(.*?)\s*(\d+)\/(\d+)"?$/.exec(text) ?? [];
  if (key.includes("/")) {
    const [add, of] = key.split("/").map(Number);
    const so = bottom ? (16 * Number(top)) / Number(bottom) : 0;
    const sum = withFraction((so + (16 * add) / of) % 16);
    const stem = (bottom ? before : text).replace(/"$/, "").trimEnd();
    return sum ? `${stem}${stem ? " " : ""}${sum}"` : stem;
  }
  if (key === "'" || key === '"') return /\d$/.test(text) && !text.includes(key) ? text + key : text;
  if (key === ".") return text.includes(".") || bottom ? text : text + key;
  if (bottom || text.endsWith('"')) return text; // a digit after the inches would read as another number
  return text.endsWith("'") ? `${text} ${key}` : text + key;
}

export function withoutLast(text) {
  const [, before] = /^(.*?)\s*\d+\/\d+"?$/.exec(text) ?? [];
  return before ?? text.slice(0, -1).trimEnd();
}

// The text with its unit written out, so that the server reads what was shown beside it.
export function marked(text, bare) {
  const plain = text.trim();
  if (/^\d+ \d+\/\d+"?$/.test(plain) || /^\d+\/\d+"?$/.test(plain)) return plain.endsWith('"') ? plain : `${plain}"`;
  if (/^[\d.]+$/.test(plain)) return bare === "ft" ? `${plain}'` : bare === "in" ? `${plain}"` : `${plain} ${bare}`;
  return plain;
}
