// Photos are made small on the phone, as the server would, before they are kept.

const LONGEST_SIDE = 2000;
export const ON_PAPER = 1200; // as large as an estimate prints it
const QUALITY = 0.82;

export async function shrunk(file, longest = LONGEST_SIDE) {
  let picture;
  try {
    picture = await createImageBitmap(file);
  } catch {
    return file; // the server says what it makes of it
  }
  const scale = Math.min(1, longest / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * scale);
  canvas.height = Math.round(picture.height * scale);
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((done) => { canvas.toBlob(done, "image/jpeg", QUALITY); });
  return blob && (blob.size < file.size || scale < 1) ? blob : file;
}

export function asDataUrl(blob) {
  return new Promise((done, failed) => {
    const reader = new FileReader();
    reader.onload = () => done(reader.result);
    reader.onerror = () => failed(reader.error);
    reader.readAsDataURL(blob);
  });
}
