// Makes links of the end of what must not be torn, and of the beginning of what follows it: a heading and what stands under
// it, the key of a list and the list, what is last on the page and the footer. A PDF tells on which sheet a link lies.
(() => {
  const names = [];
  const short = (element) => element.textContent.trim().replace(/\s+/g, " ").slice(0, 40);

  // What is seen of an element: its texts and its pictures, in their order.
  function leaves(element) {
    if (!element.checkVisibility()) return [];
    const walker = document.createTreeWalker(element, NodeFilter.SHOW_TEXT | NodeFilter.SHOW_ELEMENT, (node) => {
      if (node.nodeType === Node.TEXT_NODE) return node.data.trim() ? NodeFilter.FILTER_ACCEPT : NodeFilter.FILTER_REJECT;
      if (!node.checkVisibility()) return NodeFilter.FILTER_REJECT;
      return node.matches("img, svg") ? NodeFilter.FILTER_ACCEPT : NodeFilter.FILTER_SKIP;
    });
    const found = [];
    while (walker.nextNode()) {
      const node = walker.currentNode;
      if (node.parentElement.closest("svg") || (node.localName === "svg" && node.getAttribute("aria-hidden"))) continue;
      found.push(node);
    }
    return found;
  }

  function link(leaf, part, pair) {
    const a = document.createElement("a");
    a.href = `tie://${part}/${pair}/`;
    a.style.cssText = "color: inherit; text-decoration: none";
    if (leaf.nodeType === Node.ELEMENT_NODE) {
      const { width, display } = getComputedStyle(leaf);
      a.style.cssText += `; display: ${display === "inline" ? "inline-block" : "block"}; width: ${width}`;
    }
    leaf.replaceWith(a);
    a.append(leaf);
  }

  // The first that is seen after an element.
  function after(element) {
    for (let up = element; up && up !== document.body; up = up.parentElement) {
      for (let next = up.nextElementSibling; next; next = next.nextElementSibling) {
        const [first] = leaves(next);
        if (first) return first;
      }
    }
  }

  function tie(name, first, then) {
    if (!first || !then || first === then) return;
    const pair = names.push(name) - 1;
    link(first, "first", pair);
    link(then, "then", pair);
  }

  for (const heading of document.querySelectorAll("h1, h2, h3, .key")) {
    tie(`${heading.localName} “${short(heading)}”`, leaves(heading).at(-1), after(heading));
  }
  const footer = document.querySelector("footer");
  const before = (leaf) => footer.compareDocumentPosition(leaf) & Node.DOCUMENT_POSITION_PRECEDING;
  if (footer?.checkVisibility()) tie("what is last before the footer", leaves(document.body).filter(before).at(-1), leaves(footer)[0]);
  return names;
})()
