// Corners and card dragged on the photo. The fields below stay the truth: what is dragged is written there, what is typed moves.
"use strict";
(() => {
  const form = document.querySelector("form.place");
  if (!form) return;
  const stage = form.querySelector(".stage");
  const photo = stage.querySelector("img");
  const [width, height] = [Number(form.dataset.width), Number(form.dataset.height)];
  const card = form.elements.card;
  // Within so many CSS pixels of where a finger came down it moves finely, so many times as slowly.
  const BREADTH = 28;
  const FINE = 0.2;
  // A step of an arrow key, photo pixels; with shift.
  const STEP = 1;
  const LEAP = 25;
  // The glass: its side in CSS pixels, and how many photo pixels it shows, at most.
  const GLASS = 168;
  const SEEN = 84;

  const NAMES = { a: "A", b: "B", c: "C", d: "D", p: "\u25E4", q: "\u25E2" };
  const points = [...form.querySelectorAll("[data-point]")].map((place) => {
    const name = place.dataset.point;
    return { name, says: place.dataset.says, place, isCard: "card" in place.dataset, x: form.elements[`${name}x`], y: form.elements[`${name}y`] };
  });
  const at = (point) => [point.x, point.y].map((field) => Number(field.value.replace(",", ".")) || 0);
  const point = (name) => points.find((one) => one.name === name);

  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  svg.setAttribute("aria-hidden", "true");
  const outline = (stroke, thick) => {
    const line = document.createElementNS(svg.namespaceURI, "polygon");
    for (const [name, value] of Object.entries({ fill: "none", stroke, "stroke-width": thick, "vector-effect": "non-scaling-stroke" })) line.setAttribute(name, value);
    svg.append(line);
    return line;
  };
  const panel = [outline("#000", 4), outline("#fff", 2)];
  const patch = [outline("#000", 4), outline("#fff", 2)];
  stage.append(svg);

  const glass = document.createElement("canvas");
  glass.className = "glass";
  glass.hidden = true;
  glass.setAttribute("aria-hidden", "true");
  document.body.append(glass);

  const corners = () => ["a", "b", "c", "d"].map((name) => at(point(name)));
  const cardCorners = () => {
    const [[x0, y0], [x1, y1]] = [at(point("p")), at(point("q"))];
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
  };
  const hasCard = () => card.value !== "";

  const draw = () => {
    const text = (quad) => quad.map((p) => p.join(",")).join(" ");
    panel.forEach((line) => line.setAttribute("points", text(corners())));
    patch.forEach((line) => line.setAttribute("points", hasCard() ? text(cardCorners()) : ""));
    for (const one of points) {
      const [x, y] = at(one);
      one.handle.hidden = one.isCard && !hasCard();
      one.handle.style.left = `${100 * x / width}%`;
      one.handle.style.top = `${100 * y / height}%`;
      one.handle.toggleAttribute("data-up", y > height * 0.8);
      one.handle.toggleAttribute("data-left", x > width * 0.9);
      one.handle.setAttribute("aria-label", `${one.says}: ${x.toFixed(0)} across, ${y.toFixed(0)} down. Arrow keys move it.`);
    }
  };
  const move = (one, [x, y]) => {
    const within = (value, most) => Math.min(most, Math.max(0, value)).toFixed(1);
    one.x.value = within(x, width);
    one.y.value = within(y, height);
    // A card that is moved is no longer the one that was found.
    if (one.isCard && card.value === "found") card.value = "grey";
    draw();
  };

  // What lies under the corner, large, away from the finger.
  const look = (one, finger) => {
    const ratio = window.devicePixelRatio || 1;
    glass.width = glass.height = GLASS * ratio;
    const pen = glass.getContext("2d");
    const [x, y] = at(one);
    const times = GLASS * ratio / SEEN;
    const shown = photo.naturalWidth / width;
    pen.imageSmoothingEnabled = false;
    pen.setTransform(times, 0, 0, times, GLASS * ratio / 2 - x * times, GLASS * ratio / 2 - y * times);
    const [left, top] = [x - SEEN, y - SEEN];
    pen.drawImage(photo, left * shown, top * shown, 2 * SEEN * shown, 2 * SEEN * shown, left, top, 2 * SEEN, 2 * SEEN);
    for (const [colour, thick] of [["#000", 3], ["#fff", 1]]) {
      pen.strokeStyle = colour;
      pen.lineWidth = thick / times * ratio;
      pen.beginPath();
      const quad = one.isCard ? cardCorners() : corners();
      quad.forEach((p, i) => (i ? pen.lineTo(...p) : pen.moveTo(...p)));
      pen.closePath();
      pen.stroke();
    }
    // To the side where there is more room, and above the hand.
    const box = [window.innerWidth, window.innerHeight];
    const beside = finger[0] < box[0] / 2 ? finger[0] + 60 : finger[0] - 60 - GLASS;
    const left_px = Math.min(box[0] - GLASS - 8, Math.max(8, beside));
    const top_px = Math.min(box[1] - GLASS - 8, Math.max(8, finger[1] - GLASS - 40));
    glass.style.left = `${left_px}px`;
    glass.style.top = `${top_px}px`;
    glass.hidden = false;
  };

  for (const one of points) {
    const handle = document.createElement("button");
    handle.type = "button";
    handle.className = "handle";
    const letter = document.createElement("span");
    letter.textContent = NAMES[one.name];
    handle.append(letter);
    one.handle = handle;
    let held = null;
    handle.addEventListener("pointerdown", (finger) => {
      handle.setPointerCapture(finger.pointerId);
      handle.setAttribute("aria-pressed", "true");
      held = { from: [finger.clientX, finger.clientY], last: [finger.clientX, finger.clientY], away: false };
      look(one, held.last);
      finger.preventDefault();
      handle.focus({ preventScroll: true });
    });
    handle.addEventListener("pointermove", (finger) => {
      if (!held) return;
      const now = [finger.clientX, finger.clientY];
      held.away = held.away || Math.hypot(now[0] - held.from[0], now[1] - held.from[1]) > BREADTH;
      const gain = (held.away ? 1 : FINE) * width / stage.getBoundingClientRect().width;
      const [x, y] = at(one);
      move(one, [x + (now[0] - held.last[0]) * gain, y + (now[1] - held.last[1]) * gain]);
      held.last = now;
      look(one, now);
    });
    const drop = () => {
      held = null;
      glass.hidden = true;
      handle.removeAttribute("aria-pressed");
    };
    handle.addEventListener("pointerup", drop);
    handle.addEventListener("pointercancel", drop);
    handle.addEventListener("keydown", (key) => {
      const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
      const way = ways[key.key];
      if (!way) return;
      key.preventDefault();
      const step = key.shiftKey ? LEAP : STEP;
      const [x, y] = at(one);
      move(one, [x + way[0] * step, y + way[1] * step]);
      const box = handle.getBoundingClientRect();
      look(one, [box.left + box.width / 2, box.top + box.height / 2]);
    });
    handle.addEventListener("blur", () => { glass.hidden = true; });
    stage.append(handle);
    one.x.addEventListener("input", draw);
    one.y.addEventListener("input", draw);
  }
  card.addEventListener("change", draw);
  draw();
})();
