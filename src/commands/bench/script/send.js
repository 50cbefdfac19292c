// Photos are sent as soon as they are taken, with how far they have come; what did not get through is sent again by a tap.
"use strict";
(() => {
  const send = (form, data, said) => {
    const way = new XMLHttpRequest();
    const bar = document.createElement("progress");
    bar.max = 1;
    bar.setAttribute("aria-label", "Sent");
    const words = document.createElement("p");
    words.textContent = "The photo is on its way.";
    said.replaceChildren(bar, words);
    const stuck = (why) => {
      const again = document.createElement("button");
      again.type = "button";
      again.textContent = "Send it again";
      again.addEventListener("click", () => send(form, data, said));
      words.textContent = why;
      said.replaceChildren(words, again);
      again.focus();
    };
    way.upload.addEventListener("progress", (step) => {
      if (step.lengthComputable) bar.value = step.loaded / step.total;
    });
    way.upload.addEventListener("load", () => { words.textContent = "It is there."; });
    way.addEventListener("error", () => stuck("The photo did not get through. It is still here."));
    way.addEventListener("timeout", () => stuck("The photo did not get through in time. It is still here."));
    way.addEventListener("load", () => {
      if (way.status === 200) {
        location.assign(way.responseURL);
        return;
      }
      const page = new DOMParser().parseFromString(way.responseText, "text/html");
      const lines = [...page.querySelectorAll("h1, h1 ~ p")].map((line) => line.textContent).slice(0, 2);
      stuck(lines.join(" ") || "The photo was not taken in.");
    });
    way.open("POST", form.action);
    way.timeout = 600000;
    way.send(data);
  };
  const arm = (root) => {
    for (const form of root.querySelectorAll("form.camera:not(.sends)")) {
      const input = form.querySelector("input[type=file]");
      form.classList.add("sends");
      input.addEventListener("change", () => {
        if (input.files.length) {
          send(form, new FormData(form), form.querySelector(".progress"));
          input.value = "";
        }
      });
    }
  };
  arm(document);
  document.addEventListener("bench:page", () => arm(document));
})();
