// Each hand and foot of the drawing is one tab stop; arrows go to the region that lies there.

type Point = { x: number; y: number };
const WAYS: Record<string, Point> = {
  ArrowRight: { x: 1, y: 0 },
  ArrowLeft: { x: -1, y: 0 },
  ArrowDown: { x: 0, y: 1 },
  ArrowUp: { x: 0, y: -1 },
};

function middle(region: SVGAElement): Point {
  const box = region.getBBox();
  return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
}

/** The region that lies nearest in a direction; what lies aside counts double. */
function towards(here: SVGAElement, all: SVGAElement[], way: Point): SVGAElement | null {
  const from = middle(here);
  let best: SVGAElement | null = null;
  let least = Infinity;
  for (const other of all) {
    const to = middle(other);
    const along = (to.x - from.x) * way.x + (to.y - from.y) * way.y;
    const aside = Math.abs((to.x - from.x) * way.y) + Math.abs((to.y - from.y) * way.x);
    if (other !== here && along > 1 && along + 2 * aside < least) {
      least = along + 2 * aside;
      best = other;
    }
  }
  return best;
}

function next(key: string, here: SVGAElement, all: SVGAElement[]): SVGAElement | null {
  if (key === "Home") return all[0] ?? null;
  if (key === "End") return all.at(-1) ?? null;
  const way = WAYS[key];
  return way === undefined ? null : towards(here, all, way);
}

function stopAt(region: SVGAElement, all: SVGAElement[]): void {
  for (const other of all) other.setAttribute("tabindex", other === region ? "0" : "-1");
}

/** The regions of the hand or foot to which something belongs; none elsewhere. */
function beside(target: EventTarget | null): [SVGAElement, SVGAElement[]] | null {
  if (!(target instanceof SVGAElement)) return null;
  const view = target.closest("[data-view]");
  return view === null ? null : [target, regionsOf(view)];
}

function regionsOf(view: Element): SVGAElement[] {
  return [...view.querySelectorAll<SVGAElement>("a.exam-region")];
}

function move(event: KeyboardEvent): void {
  const found = beside(event.target);
  const isPlain = !event.altKey && !event.ctrlKey && !event.metaKey;
  const isOurs = event.key in WAYS || event.key === "Home" || event.key === "End";
  if (found === null || !isPlain || !isOurs) return;
  event.preventDefault();
  next(event.key, ...found)?.focus();
}

function arrive(event: FocusEvent, words: HTMLElement | null): void {
  const found = beside(event.target);
  if (found === null) return;
  const [here, all] = found;
  stopAt(here, all);
  const place = `region ${all.indexOf(here) + 1} of ${all.length}`;
  const name = here.getAttribute("aria-label") ?? "";
  if (words !== null) words.textContent = `${name}; ${place}. Enter chooses it.`;
}

// The listeners sit outside the drawing: a part of a drawing that listens for focus becomes a
// tab stop itself in some browsers.
const drawing = document.querySelector<HTMLElement>(".drawing");
if (drawing !== null) {
  const words = document.querySelector<HTMLElement>("[data-region-words]");
  const chosen = new URLSearchParams(location.search).get("region");
  for (const view of drawing.querySelectorAll("[data-view]")) {
    const all = regionsOf(view);
    const first = all.find((region) => region.dataset["region"] === chosen) ?? all[0];
    if (first !== undefined) stopAt(first, all);
  }
  drawing.addEventListener("keydown", move);
  drawing.addEventListener("focusin", (event) => arrive(event, words));
}
const hint = document.querySelector<HTMLElement>("[data-region-hint]");
if (hint !== null) hint.hidden = false;
