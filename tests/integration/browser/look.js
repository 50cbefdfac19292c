// What is wrong with this page, as it is laid out now: a list of findings, each naming its element.
(async () => {
  const LEAST_PX = { html: 11, svg: 9.5 }; // the smallest text that is read with ease
  const OVERLAP_PX = 2; // text boxes hold room above and below the letters, which may touch
  const EDGE_PX = 1; // browsers round boxes to whole pixels
  const ROOM_EM = 0.2; // that room, above or below the letters
  const WIDE_PX = 4; // a line from here on is a ground for the text on it
  // WCAG 2.2, 1.4.3: 18 point, or 14 point and bold, is large.
  const LARGE_PX = 24, LARGE_BOLD_PX = 18.66, BOLD = 700, LARGE_RATIO = 3, RATIO = 4.5;

  const onPaper = matchMedia("print").matches;
  const root = document.documentElement;
  const found = new Set();
  const say = (element, what) => found.add(`${name(element)} ${what}`);
  const px = (length) => `${Math.ceil(length)} px`;

  function name(element) {
    const classes = (element.getAttribute("class") ?? "").split(/\s+/).filter(Boolean);
    const said = (element.textContent.trim() || element.getAttribute("alt") || "").replace(/\s+/g, " ");
    const short = said.length > 40 ? `${said.slice(0, 39)}…` : said;
    return [element.localName, ...classes].join(".") + (short && ` “${short}”`);
  }

  // Boxes and texts ----------------------------------------------------------------------------------------------------

  const style = (element) => getComputedStyle(element);
  const shown = (element) => element.checkVisibility({ opacityProperty: true, visibilityProperty: true });
  const inSvg = (element) => element instanceof SVGElement && element.ownerSVGElement;

  function outermost(element) {
    while (element.ownerSVGElement) element = element.ownerSVGElement;
    return element;
  }

  // The ancestors that bound an element, from itself outwards: one placed absolutely is bound only by placed ancestors.
  function* bounds(element) {
    let free = false;
    for (let up = element; up && up !== document.body && up !== root; up = up.parentElement) {
      const { position, display } = style(up);
      if (free && position === "static") continue;
      if (display !== "inline" && display !== "contents" && !(up instanceof SVGElement)) yield up;
      if (position === "fixed") return;
      free = position === "absolute";
    }
  }

  const hides = (overflow) => overflow === "hidden" || overflow === "clip";
  const scrolls = (overflow) => overflow === "auto" || overflow === "scroll";
  const spokenOnly = (box) => box.clientWidth <= 1 && box.clientHeight <= 1 && hides(style(box).overflowX);

  // What happens to a rectangle of an element: cut by an ancestor (which), reached by scrolling, or neither.
  function fate(element, rect, room) {
    for (const box of bounds(element)) {
      const { overflowX, overflowY } = style(box);
      const edge = box.getBoundingClientRect();
      const left = edge.left + box.clientLeft, top = edge.top + box.clientTop;
      const across = rect.left < left - EDGE_PX || rect.right > left + box.clientWidth + EDGE_PX;
      const along = rect.top < top - room || rect.bottom > top + box.clientHeight + room;
      const cuts = (overflow) => hides(overflow) || (onPaper && scrolls(overflow));
      if ((across && cuts(overflowX)) || (along && cuts(overflowY))) return { cut: box };
      if ((across && scrolls(overflowX)) || (along && scrolls(overflowY))) return { reached: true };
    }
    return {};
  }

  // Each run of text that is seen: its element, size in pixels, and boxes.
  function texts() {
    const runs = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const node = walker.currentNode, element = node.parentElement;
      if (!node.data.trim() || !shown(element) || [...bounds(element)].some(spokenOnly)) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      const rects = [...range.getClientRects()].filter((rect) => rect.width > 0 && rect.height > 0);
      if (!rects.length) continue;
      const matrix = inSvg(element) ? element.getScreenCTM() : null;
      const scale = matrix ? Math.sqrt(Math.abs(matrix.a * matrix.d - matrix.b * matrix.c)) : 1;
      const size = parseFloat(style(element).fontSize) * scale;
      const quads = matrix && turned(matrix) ? [slanted(element, matrix)] : rects.map(upright);
      runs.push({ element, size, rects, quads, svg: Boolean(matrix) });
    }
    return runs;
  }

  const turned = ({ a, b, c, d }) => Math.min(Math.abs(a) + Math.abs(d), Math.abs(b) + Math.abs(c)) > 1e-6;
  const upright = ({ left, top, right, bottom }) =>
    [[left, top], [right, top], [right, bottom], [left, bottom]].map(([x, y]) => new DOMPoint(x, y));

  // The corners of slanting SVG text, whose upright box would cover its neighbours'.
  function slanted(element, matrix) {
    const chars = Array.from({ length: element.getNumberOfChars() }, (_, at) => element.getExtentOfChar(at));
    const left = Math.min(...chars.map((char) => char.x)), right = Math.max(...chars.map((char) => char.x + char.width));
    const top = Math.min(...chars.map((char) => char.y)), bottom = Math.max(...chars.map((char) => char.y + char.height));
    return upright({ left, top, right, bottom }).map((corner) => corner.matrixTransform(matrix));
  }

  // How deep two boxes lie in one another: the least overlap along the directions of their sides (separating axes).
  function depth(one, other) {
    const axes = [one, other].flatMap(([a, b, , d]) => [[b.x - a.x, b.y - a.y], [d.x - a.x, d.y - a.y]]);
    return Math.min(...axes.map(([x, y]) => {
      const along = (quad) => quad.map((corner) => (corner.x * x + corner.y * y) / Math.hypot(x, y));
      const [first, second] = [along(one), along(other)];
      return Math.min(Math.max(...first), Math.max(...second)) - Math.max(Math.min(...first), Math.min(...second));
    }));
  }

  // Colours ------------------------------------------------------------------------------------------------------------

  const dot = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const read = new Map();

  // Red, green, blue, 0 to 255, and opacity, 0 to 1, of any CSS colour.
  function colour(css) {
    if (!read.has(css)) {
      dot.clearRect(0, 0, 1, 1);
      dot.fillStyle = "transparent"; // what is no colour leaves it so
      dot.fillStyle = css;
      dot.fillRect(0, 0, 1, 1);
      const [red, green, blue, alpha] = dot.getImageData(0, 0, 1, 1).data;
      read.set(css, [red, green, blue, alpha / 255]);
    }
    return read.get(css);
  }

  const faded = ([red, green, blue, alpha], by) => [red, green, blue, alpha * by];
  const over = (top, under) => [0, 1, 2].map((at) => top[at] * top[3] + under[at] * (1 - top[3])).concat(1);

  // Contrast ratio and relative luminance as WCAG 2.2 defines them.
  function contrast(one, other) {
    const luminance = (rgb) => {
      const [red, green, blue] = rgb.slice(0, 3).map((code) => {
        const share = code / 255;
        return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
    };
    const [dark, light] = [luminance(one), luminance(other)].sort((a, b) => a - b);
    return (light + 0.05) / (dark + 0.05);
  }

  // Every colour that may lie behind an element: the nearest opaque one, and each stop of a gradient.
  function grounds(element) {
    if (!element) return [[255, 255, 255, 1]];
    const { backgroundColor, backgroundImage } = style(element);
    const own = colour(backgroundColor);
    const plain = own[3] === 1 ? [own] : grounds(element.parentElement).map((under) => over(own, under));
    const stops = backgroundImage.replace(/url\("[^"]*"\)/g, "").match(/[a-z]+\([^()]*\)/g) ?? [];
    return stops.length ? stops.flatMap((stop) => plain.map((under) => over(colour(stop), under))) : plain;
  }

  // The same for a point of an SVG text, with the shapes painted before it; none where it lies on a picture.
  function groundsInSvg(element, point) {
    const { paintOrder, stroke } = style(element);
    if (paintOrder.startsWith("stroke") && stroke !== "none") return [colour(stroke)]; // its own halo
    const svg = outermost(element);
    let behind = grounds(svg);
    for (const shape of svg.querySelectorAll("rect, circle, ellipse, path, polygon, polyline, line, image")) {
      if (!(shape.compareDocumentPosition(element) & Node.DOCUMENT_POSITION_FOLLOWING)) break;
      if (shape.closest("defs, clipPath, mask, marker, pattern, symbol") || !shown(shape)) continue;
      const matrix = shape.getScreenCTM();
      const at = point.matrixTransform(matrix.inverse());
      if (shape.localName === "image") {
        const { x, y, width, height } = shape.getBBox();
        if (at.x >= x && at.x <= x + width && at.y >= y && at.y <= y + height) behind = null;
        continue;
      }
      const look = style(shape);
      const paint = (css, opacity) => {
        if (css === "none" || css.startsWith("url")) return;
        const own = faded(colour(css), opacity * opacityOf(shape));
        behind = own[3] === 1 ? [own] : behind && behind.map((under) => over(own, under));
      };
      if (shape.isPointInFill(at)) paint(look.fill, look.fillOpacity);
      const wide = parseFloat(look.strokeWidth) * Math.hypot(matrix.a, matrix.b) >= WIDE_PX;
      if (wide && shape.isPointInStroke(at)) paint(look.stroke, look.strokeOpacity);
    }
    return behind;
  }

  function opacityOf(element) {
    let opacity = 1;
    for (let up = element; up; up = up.parentElement) opacity *= style(up).opacity;
    return opacity;
  }

  // Findings -----------------------------------------------------------------------------------------------------------

  function legible({ element, size, quads, svg }) {
    const least = svg ? LEAST_PX.svg : LEAST_PX.html;
    if (size < least - 0.01) say(element, `is ${size.toFixed(1)} px small, under ${least}`);
    const { color, fill, fillOpacity, fontWeight } = style(element);
    if (svg && (fill === "none" || fill.startsWith("url"))) return;
    const ink = faded(colour(svg ? fill : color), opacityOf(element) * (svg ? fillOpacity : 1));
    const points = svg ? quads.flatMap(middle) : [];
    const behind = svg ? points.map((point) => groundsInSvg(element, point)) : [grounds(element)];
    if (behind.includes(null)) return say(element, "lies on a picture, without a ground of its own");
    const ratio = Math.min(...behind.flat().map((ground) => contrast(over(ink, ground), ground)));
    const large = size >= LARGE_PX || (size >= LARGE_BOLD_PX && fontWeight >= BOLD);
    const needed = large ? LARGE_RATIO : RATIO;
    const stated = Math.floor(ratio * 100) / 100;
    if (ratio < needed) say(element, `stands out by ${stated.toFixed(2)} to 1 from what is behind it, under ${needed}`);
  }

  // Five points along the middle of a line of text.
  const middle = ([a, b, c, d]) => [0.1, 0.3, 0.5, 0.7, 0.9].map((share) => {
    const mix = (axis) => ((a[axis] + d[axis]) * (1 - share) + (b[axis] + c[axis]) * share) / 2;
    return new DOMPoint(mix("x"), mix("y"));
  });

  // Text that is cut off by a box around it, or lies outside its drawing.
  function whole({ element, size, rects, svg }) {
    const holder = svg ? outermost(element) : element;
    const frame = svg && holder.getBoundingClientRect();
    for (const rect of rects) {
      const { cut } = fate(holder, rect, ROOM_EM * size);
      if (cut) say(element, cut === element ? "is cut off" : `is cut off by ${[cut.localName, ...cut.classList].join(".")}`);
      if (!svg) continue;
      const out = Math.max(frame.left - rect.left, rect.right - frame.right, frame.top - rect.top, rect.bottom - frame.bottom);
      if (out > EDGE_PX) say(element, `lies ${px(out)} outside its drawing`);
    }
  }

  function apart(runs) {
    const boxes = runs.flatMap(({ element, quads }) => quads.map((quad) => {
      const heights = quad.map((corner) => corner.y);
      return { element, quad, top: Math.min(...heights), bottom: Math.max(...heights) };
    }));
    boxes.sort((one, other) => one.top - other.top);
    boxes.forEach((one, at) => {
      for (let next = at + 1; next < boxes.length && boxes[next].top < one.bottom - OVERLAP_PX; next++) {
        const other = boxes[next];
        if (other.element === one.element || depth(one.quad, other.quad) <= OVERLAP_PX) continue;
        say(one.element, `overlaps ${name(other.element)}`);
      }
    });
  }

  // What reaches past the left or right edge of the page, the outermost element of each heap.
  function withinPage(runs) {
    const wide = root.scrollWidth - root.clientWidth;
    if (wide > EDGE_PX) found.add(`the page is ${px(wide)} too wide`);
    const past = (rect) => Math.max(-rect.left, rect.right - root.clientWidth);
    const beyond = new Set();
    const look = (element, rect) => {
      if (rect.width === 0 || past(rect) <= EDGE_PX) return;
      const { cut, reached } = fate(element.parentElement, rect, Infinity);
      if (cut || reached) return; // a picture may be cropped; of text that is cut, whole() tells
      for (let up = element.parentElement; up; up = up.parentElement) if (beyond.has(up)) return;
      if (beyond.has(element)) return;
      beyond.add(element);
      say(element, `runs ${px(past(rect))} past the edge of the page`);
    };
    for (const element of document.body.querySelectorAll("*")) {
      if (shown(element) && !inSvg(element)) look(element, element.getBoundingClientRect());
    }
    for (const { element, rects, svg } of runs) if (!svg) rects.forEach((rect) => look(element, rect));
  }

  async function pictures() {
    const loads = (image) => image.decode().then(() => true, () => false);
    for (const image of document.images) {
      image.loading = "eager";
      if (!(await loads(image)) || image.naturalWidth === 0) say(image, "did not load");
      if (!image.hasAttribute("alt")) say(image, "has no words for those who cannot see it (alt)");
    }
    for (const drawing of document.querySelectorAll("svg")) {
      if (inSvg(drawing) || drawing.getAttribute("aria-hidden") === "true") continue;
      const titled = drawing.querySelector(":scope > title")?.textContent.trim();
      if (!titled && !drawing.matches("[aria-label], [aria-labelledby]")) say(drawing, "has no title");
      if (drawing.getAttribute("role") !== "img") say(drawing, "has no role=\"img\"");
    }
    for (const picture of document.querySelectorAll("svg image")) {
      const copy = new Image();
      copy.src = picture.href.baseVal;
      if (!(await loads(copy))) say(picture, "did not load");
    }
  }

  function self() {
    const policies = [...document.querySelectorAll('meta[http-equiv="Content-Security-Policy" i]')];
    const strict = ({ content }) => /default-src 'none'/.test(content) && !/https?:|\*|unsafe-eval|script-src/.test(content);
    if (!policies.some(strict)) found.add("the page does not forbid itself the network (Content-Security-Policy)");
    if (document.scripts.length) found.add("the page holds a script");
    const viewport = document.querySelector("meta[name=viewport]")?.content ?? "";
    if (!/width=device-width/.test(viewport)) found.add("the page does not fit itself to a phone (viewport)");
  }

  // Levels of headings go down one by one.
  function headings() {
    let above = 0;
    for (const heading of document.querySelectorAll("h1, h2, h3, h4, h5, h6")) {
      const level = Number(heading.localName[1]);
      if (level > above + 1) say(heading, `is a heading of level ${level} after one of level ${above}`);
      above = level;
    }
  }

  await document.fonts.ready;
  await pictures();
  self();
  headings();
  const runs = texts();
  if (!runs.length) found.add("the page shows no words");
  withinPage(runs);
  runs.forEach(whole);
  runs.forEach(legible);
  apart(runs);
  return [...found];
})()
