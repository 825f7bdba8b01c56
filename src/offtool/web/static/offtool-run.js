/* A run under way: how far it is, looked at again each second; when it is over, the page is read anew. */
"use strict";

const underWay = document.querySelector("[data-progress]");

async function look() {
  try {
    const answer = await fetch(underWay.dataset.progress, { headers: { Accept: "application/json" } });
    if (!answer.ok) throw new Error(answer.statusText);
    const run = await answer.json();
    if (run.over) {
      location.reload();
      return;
    }
    underWay.querySelector(".says").textContent = run.says;
    underWay.querySelector(".so-far").textContent = run.so_far && `So far: ${run.so_far}`;
    const bar = underWay.querySelector("progress");
    bar.max = run.of || 1;
    bar.value = run.done;
  } catch {
    underWay.querySelector(".says").textContent = "The pages do not answer; it is looked at again.";
  }
  setTimeout(look, 1000);
}

if (underWay) setTimeout(look, 500);
