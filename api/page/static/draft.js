// Draws the job while it is typed, and fills the list from a file.
"use strict";

const form = document.querySelector("form[data-draft]");
const drawn = document.getElementById("drawn");
let timer = null;
let asked = 0;

async function draw() {
  const mine = ++asked;
  const fields = new FormData(form);
  fields.delete("file");
  const answer = await fetch(form.dataset.draft, {
    method: "POST",
    headers: { "Content-Type": "application/x-www-form-urlencoded" },
    body: new URLSearchParams([...fields].filter(([, value]) => typeof value === "string")),
  }).catch(() => null);
  if (!answer || !answer.ok || mine !== asked) return;
  drawn.innerHTML = await answer.text();
  point();
}

// Faults are shown where they stand, once the field was touched.
function point() {
  for (const field of form.querySelectorAll("[aria-invalid]")) {
    field.removeAttribute("aria-invalid");
    field.closest(".field").classList.remove("wrong");
  }
  for (const said of drawn.querySelectorAll("[data-field]")) {
    const field = said.dataset.field && document.getElementById(said.dataset.field);
    if (!field) continue;
    said.prepend(`${field.labels[0].textContent}: `);
    if (!field.value && !field.touched) continue;
    field.setAttribute("aria-invalid", "true");
    field.closest(".field").classList.add("wrong");
  }
}

form.addEventListener("input", (event) => {
  event.target.touched = true;
  clearTimeout(timer);
  timer = setTimeout(draw, 350);
});

for (const file of document.querySelectorAll("input[type=file][data-fills]")) {
  file.removeAttribute("name");
  file.addEventListener("change", async () => {
    if (!file.files.length) return;
    document.getElementById(file.dataset.fills).value = await file.files[0].text();
    draw();
  });
}

document.documentElement.classList.add("with-script");
if (form.elements.tile_width.value || (form.elements.list && form.elements.list.value.trim().includes("\n"))) draw();
