/** Short ways to make elements. */

type Attributes = Readonly<Record<string, string | number>>;

const SVG = "http://www.w3.org/2000/svg";

export function svg<K extends keyof SVGElementTagNameMap>(
  tag: K,
  attributes: Attributes = {},
  ...children: Node[]
): SVGElementTagNameMap[K] {
  return filled(document.createElementNS(SVG, tag), attributes, children);
}

export function html<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  attributes: Attributes = {},
  ...children: (Node | string)[]
): HTMLElementTagNameMap[K] {
  return filled(document.createElement(tag), attributes, children);
}

export function button(text: string, attributes: Attributes, press: () => void): HTMLButtonElement {
  const made = html("button", { type: "button", ...attributes }, text);
  made.addEventListener("click", press);
  return made;
}

/** Change a text only if it differs, so that nothing is spoken twice. */
export function say(element: Element, text: string): void {
  if (element.textContent !== text) element.textContent = text;
}

function filled<E extends Element>(
  element: E,
  attributes: Attributes,
  children: (Node | string)[],
): E {
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, `${value}`);
  element.append(...children);
  return element;
}
