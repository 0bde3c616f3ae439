// Signing on the glass: strokes become the path of a drawing. Without this file the typed name suffices.
"use strict";

for (const field of document.querySelectorAll("[data-signs]")) {
  const input = document.getElementById(field.dataset.signs);
  const box = field.querySelector("svg");
  const path = box.querySelector("path");
  const most = Number(input.maxLength) > 0 ? input.maxLength : 20000;
  let pen;

  const place = (event) => {
    const { left, top, width, height } = box.getBoundingClientRect();
    const within = (part, whole) => Math.max(0, Math.min(whole, Math.round(part * whole)));
    return `${within((event.clientX - left) / width, 600)} ${within((event.clientY - top) / height, 200)}`;
  };
  const draw = (text) => {
    if (input.value.length + text.length > most) return;
    input.value += text;
    path.setAttribute("d", input.value);
  };

  path.setAttribute("d", input.value);
  field.hidden = false;
  box.addEventListener("pointerdown", (event) => {
    pen = event.pointerId;
    box.setPointerCapture(pen);
    draw(`M${place(event)}L${place(event)}`);
  });
  box.addEventListener("pointermove", (event) => {
    if (event.pointerId === pen) draw(`L${place(event)}`);
  });
  for (const end of ["pointerup", "pointercancel"]) box.addEventListener(end, () => { pen = undefined; });
  field.querySelector("button").addEventListener("click", () => {
    input.value = "";
    path.setAttribute("d", "");
  });
}
