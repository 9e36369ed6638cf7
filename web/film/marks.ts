/** The points as they are drawn on the film, the same size at every zoom. */
import { svg } from "./dom";
import type { Label } from "./labels";
import { isRuler, type FilmFacts, type FilmPoint, type Pair } from "./model";
import type { View } from "./view";
import { placeWords, pointWords, stateWords } from "./words";

/** Half of the smallest target a finger hits surely, in screen pixels. */
export const REACH = 22;

const CROSS = "M-13 0H-7M7 0H13M0 -13V-7M0 7V13";
const DIAMOND = "M0 -11L11 0L0 11L-11 0Z";
const SQUARE = "M-8 -8H8V8H-8Z";

interface Mark {
  readonly group: SVGGElement;
  readonly label: SVGTextElement;
  readonly leader: SVGPathElement;
  readonly number: number;
}

function drawn(point: FilmPoint, number: number): Mark {
  const label = svg("text", { class: "tf-label" });
  const leader = svg("path", { class: "tf-leader" });
  const shapes = (className: string): SVGGElement =>
    svg(
      "g",
      { class: className },
      svg("path", { class: "tf-cross", d: CROSS }),
      svg("circle", { class: "tf-ring", r: 4 }),
      svg("path", { class: "tf-diamond", d: DIAMOND }),
      svg("path", { class: "tf-square", d: SQUARE }),
    );
  const group = svg(
    "g",
    {
      class: "tf-point",
      tabindex: 0,
      role: "slider",
      "aria-roledescription": "point on the film",
      "aria-valuemin": 0,
      "data-name": point.name,
      "data-kind": isRuler(point.name) ? "ruler" : "bone",
    },
    leader,
    svg("circle", { class: "tf-reach", r: REACH }),
    svg("circle", { class: "tf-focus", r: 18 }),
    shapes("tf-under"),
    shapes("tf-over"),
    label,
  );
  return { group, label, leader, number };
}

export class Marks {
  readonly group = svg("g", { class: "tf-points" });
  readonly #marks = new Map<string, Mark>();
  readonly #facts: FilmFacts;

  constructor(facts: FilmFacts, points: readonly FilmPoint[]) {
    this.#facts = facts;
    points.forEach((point, index) => {
      const mark = drawn(point, index + 1);
      this.#marks.set(point.name, mark);
      this.group.append(mark.group);
    });
  }

  draw(points: readonly FilmPoint[], view: View): void {
    for (const point of points) {
      const mark = this.#marks.get(point.name);
      if (mark !== undefined) this.#drawOne(mark, point, view);
    }
  }

  /** The words beside the points; those of the point at hand come first and are whole. */
  labels(points: readonly FilmPoint[]): Label[] {
    const first: Label[] = [];
    const others: Label[] = [];
    for (const point of points) {
      const mark = this.#marks.get(point.name);
      if (mark === undefined || point.at === null) continue;
      const { label, leader, number, group } = mark;
      const meant = group.matches(":hover, :focus");
      const long = meant || isRuler(point.name) ? ` ${point.label}` : "";
      const said = `${number}${long}${point.state === "proposed" ? " proposed" : ""}`;
      const prefer: Pair = [0.9, -0.4];
      (meant ? first : others).push({ at: point.at, said, must: true, prefer, gap: 11, label, leader });
    }
    return [...first, ...others];
  }

  focus(name: string): void {
    this.#marks.get(name)?.group.focus({ preventScroll: true });
  }

  #drawOne(mark: Mark, point: FilmPoint, view: View): void {
    const { group } = mark;
    group.toggleAttribute("hidden", point.at === null);
    if (point.at === null) return;
    const [column, row] = point.at;
    const upright = `scale(${1 / view.scale}) rotate(${-90 * view.quarter})`;
    group.setAttribute("transform", `translate(${column} ${row}) ${upright}`);
    group.dataset["state"] = point.state;
    group.setAttribute("aria-label", pointWords(point));
    group.setAttribute("aria-valuenow", `${column}`);
    group.setAttribute("aria-valuemax", `${this.#facts.columns - 1}`);
    group.setAttribute("aria-valuetext", `${placeWords(point)}, ${stateWords(point)}`);
  }
}

/** The point nearest to a place on screen, if a finger there would mean it. */
export function nearest(
  points: readonly FilmPoint[],
  where: (at: Pair) => Pair,
  [x, y]: Pair,
): FilmPoint | null {
  let best: FilmPoint | null = null;
  let reach = REACH;
  for (const point of points) {
    if (point.at === null) continue;
    const [px, py] = where(point.at);
    const distance = Math.hypot(px - x, py - y);
    if (distance <= reach) [best, reach] = [point, distance];
  }
  return best;
}
