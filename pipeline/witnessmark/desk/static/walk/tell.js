/** Small things that every part of the page uses: words for times, alarms, remembered choices. */

export const find = (id) => document.getElementById(id);

/** 192.4 → "3:12" */
export function minutes(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  const [h, m, s] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  const two = (number) => String(number).padStart(2, "0");
  return h ? `${h}:${two(m)}:${two(s)}` : `${m}:${two(s)}`;
}

/** The time of day of a moment, with the day where it is another. */
export function moment(iso) {
  const then = new Date(iso);
  const time = then.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  const today = then.toDateString() === new Date().toDateString();
  return today ? time : `${then.toLocaleDateString([], { day: "numeric", month: "short" })}, ${time}`;
}

/** The day on this phone's calendar, as ISO 8601 writes it. */
export const day = (date) => {
  const two = (number) => String(number).padStart(2, "0");
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
};

/** Write only what changed, so that a screen reader says it once. */
export function put(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

export function button(text, act, kind = "large quiet") {
  const made = Object.assign(document.createElement("button"), {
    type: "button",
    textContent: text,
    className: kind,
  });
  made.addEventListener("click", act);
  return made;
}

/** Something that must be seen now. One at a time; `actions` are buttons. */
export function alarm(text, actions = []) {
  const words = Object.assign(document.createElement("p"), { textContent: text });
  const box = Object.assign(document.createElement("div"), { className: "told loud" });
  box.append(words, ...actions, button("Close", calm, "large quiet"));
  find("alarm").replaceChildren(box);
  navigator.vibrate?.([300, 150, 300, 150, 300]);
}

export const calm = () => find("alarm").replaceChildren();

export const sentence = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);

/** Something worth knowing, that stays until it is closed. @returns what takes it away */
export function notice(text, actions = []) {
  const box = Object.assign(document.createElement("div"), { className: "told" });
  const close = button("Close", () => box.remove());
  for (const one of actions) one.addEventListener("click", () => box.remove());
  box.append(Object.assign(document.createElement("p"), { textContent: text }), ...actions, close);
  find("notices").append(box);
  return () => box.remove();
}

export function recall(name, otherwise) {
  try {
    return JSON.parse(localStorage.getItem(name)) ?? otherwise;
  } catch {
    return otherwise;
  }
}

export function remember(name, value) {
  try {
    localStorage.setItem(name, JSON.stringify(value));
  } catch {
    // full or forbidden: it is asked again next time
  }
}
