// Steppers, a stopwatch and the sum without leaving the page. Without this script all of it works.
"use strict";

const form = document.getElementById("inspection");

function button(words, label, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "second";
  made.textContent = words;
  if (label) made.setAttribute("aria-label", label);
  made.addEventListener("click", act);
  return made;
}

// "2 ft 3 in" as inches, or null where it was typed in another way.
function inches(text) {
  const found = /^(?:(\d+) ?ft)? ?(?:(\d+(?:\.\d+)?) ?in)?$/.exec(text.trim());
  return found && (found[1] || found[2]) ? 12 * (found[1] || 0) + Number(found[2] || 0) : null;
}

function sayInches(total) {
  const feet = Math.floor(total / 12);
  return `${feet ? `${feet} ft ` : ""}${Number((total - 12 * feet).toFixed(1))} in`;
}

function step(input, by, last) {
  const typed = input.value || last;
  if (by.endsWith("in")) {
    const now = typed ? inches(typed) : 0;
    if (now !== null) input.value = sayInches(Math.max(now + parseFloat(by), 0));
    return;
  }
  const now = typed ? parseFloat(typed.replace(",", ".")) : 0;
  const places = (by.split(".")[1] || "").length;
  if (!Number.isNaN(now)) input.value = Math.max(now + parseFloat(by), 0).toFixed(places);
}

function addSteppers(box) {
  const input = box.querySelector("input");
  const name = box.querySelector("label").firstChild.textContent.trim();
  const said = box.querySelector("p.soft");
  const last = said ? said.textContent.replace("Last time ", "") : "";
  const by = box.dataset.step;
  const down = by.startsWith("-") ? by : `-${by}`;
  input.before(button("\u2212", `${name}: less`, () => step(input, down, last)));
  input.after(button("+", `${name}: more`, () => step(input, by, last)));
}

function addStopwatch(box) {
  const input = box.querySelector("input");
  let begun = 0;
  const watch = button("Start the watch", "", () => {
    if (begun) {
      input.value = ((performance.now() - begun) / 1000).toFixed(1);
      begun = 0;
      watch.textContent = "Start the watch again";
    } else {
      begun = performance.now();
      watch.textContent = "Stop the watch";
    }
  });
  watch.classList.add("watch");
  box.querySelector(".typed").append(watch);
}

async function workOut(event) {
  event.preventDefault();
  const pressed = event.currentTarget;
  const place = pressed.closest(".look").querySelector(".sum");
  const body = new FormData(form, pressed);
  body.delete("photo");
  try {
    const answer = await fetch(form.action, { method: "POST", body, headers: { "X-Part": "sum" } });
    if (!answer.ok) throw new Error(String(answer.status));
    // Our own template, escaped there.
    place.innerHTML = await answer.text();
  } catch {
    place.textContent = "No answer from the office. The sum is made there when you close.";
  }
}

if (form) {
  form.querySelectorAll("[data-step]").forEach(addSteppers);
  form.querySelectorAll("[data-stopwatch]").forEach(addStopwatch);
  form.querySelectorAll(".work-out").forEach((one) => one.addEventListener("click", workOut));
}
