/* Two things a page without this script lacks: values beside the pointer, and drawings that change in place. */
"use strict";

const tip = document.createElement("p");
tip.className = "tip";
tip.setAttribute("aria-hidden", "true");
tip.hidden = true;
document.body.append(tip);

function place(x, y) {
  const room = document.documentElement.clientWidth - tip.offsetWidth - 8;
  tip.style.left = `${Math.max(8, Math.min(x + 12, room)) + window.scrollX}px`;
  tip.style.top = `${y + 16 + window.scrollY}px`;
}

document.addEventListener("pointerover", (event) => {
  const mark = event.target.closest?.("g.says");
  tip.hidden = !mark;
  if (!mark) return;
  const title = mark.querySelector("title");
  if (title) {
    mark.setAttribute("aria-label", title.textContent);
    title.remove(); // else the browser shows it a second time
  }
  tip.textContent = mark.getAttribute("aria-label");
  place(event.clientX, event.clientY);
});

/* A form with data-redraws="#what" fetches its own page and takes over that part of it. */
document.addEventListener("change", async (event) => {
  const form = event.target.form;
  const what = form?.dataset.redraws;
  if (!what) return;
  const asked = `${form.action.split("?")[0]}?${new URLSearchParams(new FormData(form))}`;
  const target = document.querySelector(what);
  target.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(asked, { headers: { Accept: "text/html" } });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.querySelector(what);
    if (!answer.ok || !fresh) throw new Error(answer.statusText);
    target.replaceChildren(...fresh.childNodes);
    history.replaceState(null, "", asked);
  } catch {
    form.submit();
  } finally {
    target.removeAttribute("aria-busy");
  }
});

for (const button of document.querySelectorAll("form[data-redraws] button")) button.hidden = true;
