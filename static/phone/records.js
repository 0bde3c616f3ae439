// The kinds of record: what each is called, and what is asked of him.

const WHOSE = [
  { token: "scope", label: "In the scope: I finish it" },
  { token: "wish", label: "A new wish" },
  { token: "not_ours", label: "Not ours" },
];

export const RECORDS = {
  hours: {
    title: "Hours",
    button: "Keep the hours",
    fields: [
      { name: "on_what", label: "On what", choices: "targets" },
      { name: "on", label: "Day", type: "date" },
      { name: "worked", label: "Hours, or from when to when", hint: "Such as 3.5, 3 1/2, 3:30 or 8-12, 12:30-4." },
      { name: "says", label: "What was done", optional: true },
    ],
    words: (record) => `${record.fields.worked[0]} h${record.label ? `, ${record.label}` : ""}`,
  },
  "clock-start": {
    title: "Clock started",
    fields: [{ name: "on_what", label: "On what", choices: "targets" }],
    words: (record) => record.label,
  },
  "clock-stop": {
    title: "Clock stopped",
    fields: [{ name: "worked", label: "How long did you work?", hint: "Such as 3.5 or 8-12, 12:30-4.", optional: true }],
    words: (record) => record.label,
  },
  receipt: {
    title: "Receipt",
    button: "Keep the receipt",
    fields: [
      { name: "photos", label: "Photo of the receipt", type: "photo", optional: true },
      { name: "total", label: "Total paid, tax included", inputmode: "decimal" },
      { name: "tax", label: "Sales tax in it", inputmode: "decimal", optional: true, hint: "Empty: none." },
      { name: "supplier", label: "Store", optional: true, list: "stores" },
      { name: "says", label: "What was bought" },
      { name: "on", label: "Day", type: "date" },
    ],
    words: (record) => `$${record.fields.total[0]}, ${record.fields.says[0]}`,
  },
  note: {
    title: "Note",
    button: "Keep the note",
    fields: [
      { name: "says", label: "Note", type: "area" },
      { name: "photos", label: "Photos", type: "photo", optional: true, most: 6 },
      { name: "on", label: "Day", type: "date" },
      { name: "weather", label: "Weather", optional: true },
      { name: "who", label: "Who was there", optional: true },
      { name: "came", label: "What was delivered", optional: true },
      { name: "for_client", label: "Show it to the client", type: "tick", optional: true },
    ],
    words: (record) => record.fields.says[0].slice(0, 60),
  },
  found: {
    title: "Found",
    button: "Keep what was found",
    signed: true,
    fields: [
      { name: "photos", label: "Photos of what was found", type: "photo", optional: true, most: 6 },
      { name: "title", label: "What was found, in a few words" },
      { name: "found", label: "What it is, and what it means for the work", type: "area", optional: true },
      { name: "asked_by", label: "Who found it, or asked for it", optional: true },
      { name: "reason", type: "hidden", value: "hidden" },
    ],
    words: (record) => record.fields.title[0],
  },
  item: {
    title: "Punch list",
    button: "Keep the item",
    fields: [
      { name: "text", label: "What is seen" },
      { name: "room", label: "Room", choices: "rooms", optional: true },
      { name: "photos", label: "Photos of it", type: "photo", optional: true, most: 6 },
      { name: "whose", label: "Whose it is", choices: WHOSE },
      { name: "answer", label: "Why it isn't done, for the client", type: "area", optional: true, hint: "For a wish that you decline, or what isn't yours." },
      { name: "on", label: "Seen on", type: "date" },
    ],
    words: (record) => record.fields.text[0],
  },
  done: {
    title: "Item done",
    button: "Keep it as done",
    signed: true,
    fields: [
      { name: "item", label: "What is done", choices: "left" },
      { name: "photos", label: "Photos of it done", type: "photo", optional: true, most: 6 },
      { name: "on", label: "Day", type: "date" },
    ],
    words: (record) => record.label,
  },
  finished: {
    title: "Finished work",
    fields: [{ name: "on", label: "Day", type: "date" }],
    words: (record) => record.label,
  },
  photo: {
    title: "Photo",
    fields: [{ name: "says", label: "What it shows", optional: true }],
    words: (record) => record.label,
  },
  room: { title: "Room", fields: [], words: (record) => record.fields.name[0] },
};
