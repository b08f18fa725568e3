// Posts the plan as it is changed, and puts what comes back in its place. It
// reckons nothing: a slider writes its number and unit as text, and what that
// comes to is for heapwright to say.

const byId = (id) => document.getElementById(id);
const plan = () => byId("plan");

// How long, in ms, an answer may be on its way before a newer question ends it;
// how long a fault waits before it is shown to someone who is still typing; how
// long the page is quiet before it is read out.
const patience = 100, faultAfter = 500, speakAfter = 900;
const busyAgain = 300; // ms until a busy server is asked again

let asking = null, again = false, faultTimer = 0, speakTimer = 0;

// ask sends the plan. The latest always wins: a question on its way is ended if
// it is slow, or else answered first, so that the picture moves while one drags.
async function ask() {
  if (asking) {
    again = true;
    if (performance.now() < asking.until) return;
    asking.abort();
  }
  again = false;
  const mine = new AbortController();
  mine.until = performance.now() + patience;
  asking = mine;
  const late = setTimeout(() => { if (again) mine.abort(); }, patience);
  try {
    const reply = await fetch("/answer", { method: "POST", body: new URLSearchParams(new FormData(plan())), signal: mine.signal });
    const text = await reply.text();
    if (asking === mine) await place(reply, text);
  } catch (e) {
    if (e.name !== "AbortError") lost();
  } finally {
    clearTimeout(late);
    if (asking === mine) {
      asking = null;
      if (again) ask();
    }
  }
}

const parse = (text) => new DOMParser().parseFromString(text, "text/html");

async function place(reply, text) {
  clearTimeout(faultTimer);
  const kind = reply.headers.get("Content-Type") || "";
  if (!kind.startsWith("text/html")) {
    if (reply.status === 503) setTimeout(ask, busyAgain);
    else faultTimer = setTimeout(() => tell(text.trim()), faultAfter);
    return;
  }
  const came = parse(text);
  const answer = came.getElementById("answer");
  if (answer) {
    await ready(answer);
    keepOpen(byId("answer"), answer);
    byId("answer").replaceWith(answer);
    byId("trouble").replaceChildren();
    byId("result").classList.remove("stale");
    mark([]);
    sliders();
    speak(byId("summary") ? byId("summary").textContent : "");
    return;
  }
  const trouble = came.getElementById("trouble");
  faultTimer = setTimeout(() => {
    byId("trouble").replaceWith(trouble);
    byId("result").classList.add("stale");
    mark(trouble.querySelectorAll("[data-control]"));
    speak(trouble.textContent);
  }, faultAfter);
}

// ready waits until a new picture can be shown, so that it does not blink.
async function ready(part) {
  const pictures = [...part.querySelectorAll("img")];
  await Promise.all(pictures.map((img) => img.decode().catch(() => {})));
}

// keepOpen opens what stood open before.
function keepOpen(before, after) {
  for (const d of before.querySelectorAll("details[id]")) {
    const same = after.querySelector("#" + d.id);
    if (same) same.open = d.open;
  }
}

function tell(words) {
  const p = document.createElement("p");
  p.textContent = words;
  byId("trouble").replaceChildren(p);
  speak(words);
}

function lost() {
  byId("result").classList.add("stale");
  tell("heapwright does not answer. If it was stopped, start it again and load this page anew.");
}

// mark ties the controls to the faults that are about them.
function mark(faults) {
  for (const c of document.querySelectorAll("[aria-invalid]")) {
    c.removeAttribute("aria-invalid");
    c.removeAttribute("aria-describedby");
  }
  for (const fault of faults) {
    const c = byId(fault.dataset.control);
    if (!c) continue;
    c.setAttribute("aria-invalid", "true");
    fault.id = "fault-" + c.id; // of several faults the last is read
    c.setAttribute("aria-describedby", fault.id);
    for (let d = c.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
  }
}

// speak has the page read out once it has been quiet.
function speak(words) {
  words = words.replace(/\s+/g, " ").trim();
  clearTimeout(speakTimer);
  speakTimer = setTimeout(() => {
    if (byId("spoken").textContent !== words) byId("spoken").textContent = words;
  }, speakAfter);
}

// sliders sets the sliders as the answer says, but for the one in hand.
function sliders() {
  for (const data of document.querySelectorAll("#scales data")) {
    const slide = byId(data.dataset.slide);
    if (!slide) continue;
    if (slide !== document.activeElement) {
      slide.max = data.dataset.max;
      slide.step = data.dataset.step;
      slide.value = data.value;
      slide.dataset.unit = data.dataset.unit;
      slide.dataset.single = data.dataset.single;
    }
    slide.setAttribute("aria-label", data.dataset.name);
    slide.setAttribute("aria-valuetext", byId(slide.dataset.for).value);
    slide.hidden = false;
  }
  for (const slide of document.querySelectorAll("#target input[type=range]")) slide.hidden = false;
}

// drag writes what a slider says into its field.
function drag(slide) {
  const unit = slide.value === "1" && slide.dataset.single || slide.dataset.unit;
  const text = unit ? slide.value + " " + unit : slide.value;
  byId(slide.dataset.for).value = text;
  slide.setAttribute("aria-valuetext", text);
}

// whole puts the form anew, as a button of it or a file asks.
async function whole(address, body, part) {
  let reply, came;
  try {
    reply = await fetch(address, { method: "POST", body });
    came = parse(await reply.text());
  } catch {
    lost();
    return;
  }
  const form = came.getElementById("plan");
  if (!form) {
    tell(came.body.textContent.trim());
    return;
  }
  byId("load-trouble").replaceWith(came.getElementById("load-trouble"));
  if (part === "load" && !reply.ok) {
    speak(byId("load-trouble").textContent);
    return;
  }
  keepOpen(plan(), form);
  plan().replaceWith(form);
  document.title = came.title;
  sliders();
  const focus = byId(came.body.dataset.focus || "");
  if (focus) focus.focus();
  ask();
}

async function judge(form) {
  const body = new FormData(form);
  body.append("part", "log");
  try {
    const reply = await fetch("/log", { method: "POST", body });
    const text = await reply.text();
    const part = parse(text).getElementById("log-result");
    if (part) {
      await ready(part);
      byId("log-result").replaceWith(part);
      const first = part.querySelector("#log-verdict, .faults");
      speak(first ? first.textContent : "");
    } else {
      byId("log-result").textContent = text;
      speak(text);
    }
  } catch {
    lost();
  }
}

document.addEventListener("input", (e) => {
  if (e.target.type === "range") drag(e.target);
  else if (e.target.id === "ratio" || e.target.id === "moisture") {
    const slide = document.querySelector(`[data-for=${e.target.id}]`);
    slide.value = e.target.value.replace(",", ".");
    slide.setAttribute("aria-valuetext", e.target.value || e.target.placeholder);
  }
  if (plan().contains(e.target)) ask();
});

// tooLarge says so, where a file would be refused; a browser may not get to read
// the server's own words while it is still sending.
function tooLarge(form, into) {
  const file = form.querySelector("input[type=file]");
  if (!file.files.length || file.files[0].size <= file.dataset.most) return false;
  const words = "This file is larger than what is taken here.";
  const p = document.createElement("p");
  p.textContent = words;
  byId(into).replaceChildren(p);
  speak(words);
  return true;
}

document.addEventListener("submit", (e) => {
  const button = e.submitter;
  if (e.target.id === "load-form") {
    e.preventDefault();
    if (tooLarge(e.target, "load-trouble")) return;
    const body = new FormData(e.target);
    for (const [key, value] of new FormData(plan())) if (["mode", "units", "whole"].includes(key)) body.append(key, value);
    whole("/load", body, "load");
  } else if (e.target.id === "log-form") {
    e.preventDefault();
    if (!tooLarge(e.target, "log-result")) judge(e.target);
  } else if (e.target.id === "plan" && !(button && button.id === "save")) {
    e.preventDefault();
    if (button && button.name === "do") whole("/", new URLSearchParams(new FormData(plan(), button)), "");
    else ask();
  }
});

document.addEventListener("click", (e) => {
  const link = e.target.closest(".faults a");
  if (!link) return;
  const control = byId(link.hash.slice(1));
  if (!control) return;
  e.preventDefault();
  for (let d = control.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
  control.focus();
});

byId("print").hidden = false;
byId("print").addEventListener("click", () => window.print());
document.documentElement.classList.add("scripted");
sliders();
if (!document.querySelector("#answer #verdict")) ask();
