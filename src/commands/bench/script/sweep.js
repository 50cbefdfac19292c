// One finish over the other.
"use strict";
(() => {
  for (const figure of document.querySelectorAll(".swept")) {
    const laid = figure.querySelector(".laid");
    const range = document.createElement("input");
    Object.assign(range, { type: "range", min: "0", max: "100", value: "50" });
    range.setAttribute("aria-label", figure.dataset.name);
    const set = (at) => laid.style.setProperty("--at", `${at}%`);
    range.addEventListener("input", () => set(range.value));
    figure.classList.add("sweeps");
    laid.after(range);
    // The line follows a finger on the picture itself; a page is still scrolled up and down by it.
    laid.style.touchAction = "pan-y";
    const follow = (finger) => {
      if (finger.type === "pointermove" && !finger.buttons) return;
      const box = laid.getBoundingClientRect();
      const at = Math.min(100, Math.max(0, 100 * (finger.clientX - box.left) / box.width));
      range.value = at;
      set(at);
    };
    laid.addEventListener("pointerdown", follow);
    laid.addEventListener("pointermove", follow);
    set(50);
  }
})();
