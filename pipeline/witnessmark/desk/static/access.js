// Copies what is shown once. Without this script it is selected and copied by hand.
for (const button of document.querySelectorAll("[data-copies]")) {
  const once = button.parentElement.querySelector(".once");
  once.addEventListener("focus", () => once.select());
  if (!navigator.clipboard) continue;
  button.hidden = false;
  button.addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(once.value);
      button.textContent = "Copied";
    } catch {
      once.focus();
    }
  });
}
