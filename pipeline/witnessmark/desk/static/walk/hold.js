/**
 * A control that a sleeve or a drop of water does not set off: held for a second, or by keyboard
 * (and by a screen reader's touch) pressed twice.
 */

const HOLD_MS = 1000;
const ASKED_MS = 6000;

/**
 * @param {HTMLButtonElement} button with one element inside that carries its words
 * @param {{done: () => void, short: string, ask: string}} how `short` is said after too short a
 *     touch, `ask` after the first key
 */
export function holdToDo(button, { done, short, ask }) {
  const words = button.firstElementChild;
  const usual = words.textContent;
  let [filling, asked, touched] = [null, null, 0];

  const say = (text) => {
    words.textContent = text;
    clearTimeout(asked);
    asked = setTimeout(calm, ASKED_MS);
  };
  const calm = () => {
    clearTimeout(asked);
    asked = null;
    words.textContent = usual;
  };
  const finish = () => {
    letGo();
    calm();
    navigator.vibrate?.(120);
    done();
  };
  const letGo = () => {
    clearTimeout(filling);
    filling = null;
    button.classList.remove("filling");
  };

  button.addEventListener("pointerdown", (event) => {
    touched = performance.now();
    if (event.button !== 0 || filling) return;
    button.setPointerCapture(event.pointerId); // a glove slips
    button.classList.add("filling");
    filling = setTimeout(finish, HOLD_MS);
  });
  for (const name of ["pointerup", "pointercancel"])
    button.addEventListener(name, () => {
      touched = performance.now();
      if (filling) say(short);
      letGo();
    });
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  button.addEventListener("click", () => {
    if (performance.now() - touched < 500) return; // the click that follows a touch
    if (asked && words.textContent === ask) finish();
    else say(ask);
  });
}
