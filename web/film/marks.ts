/** The points as they are drawn on the film, the same size at every zoom. */
import { say, svg } from "./dom";
import type { FilmFacts, FilmPoint, Pair } from "./model";
import { turned, type View } from "./view";
import { placeWords, pointWords } from "./words";

/** Half of the smallest target a finger hits surely, in screen pixels. */
export const REACH = 22;

const CROSS = "M-13 0H-7M7 0H13M0 -13V-7M0 7V13";
const DIAMOND = "M0 -11L11 0L0 11L-11 0Z";

interface Mark {
  readonly group: SVGGElement;
  readonly label: SVGTextElement;
  readonly number: number;
}

function drawn(point: FilmPoint, number: number): Mark {
  const label = svg("text", { class: "tf-label", x: 15, y: -11 });
  const shapes = (className: string): SVGGElement =>
    svg(
      "g",
      { class: className },
      svg("path", { class: "tf-cross", d: CROSS }),
      svg("circle", { class: "tf-ring", r: 4 }),
      svg("path", { class: "tf-diamond", d: DIAMOND }),
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
    },
    svg("circle", { class: "tf-reach", r: REACH }),
    svg("circle", { class: "tf-focus", r: 18 }),
    shapes("tf-under"),
    shapes("tf-over"),
    label,
  );
  return { group, label, number };
}

/** True if another point lies so close above on screen that the words must go below. */
function crowded(points: readonly FilmPoint[], point: FilmPoint, view: View): boolean {
  return points.some((other) => {
    if (other === point || other.at === null || point.at === null) return false;
    const apart: Pair = [point.at[0] - other.at[0], point.at[1] - other.at[1]];
    const [x, y] = turned(apart, view.quarter);
    const above = y > 0 || (y === 0 && x > 0);
    return above && y * view.scale < 30 && Math.abs(x) * view.scale < 90;
  });
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
      if (mark !== undefined) this.#drawOne(mark, point, view, crowded(points, point, view));
    }
  }

  focus(name: string): void {
    this.#marks.get(name)?.group.focus({ preventScroll: true });
  }

  #drawOne(mark: Mark, point: FilmPoint, view: View, low: boolean): void {
    const { group, label, number } = mark;
    group.toggleAttribute("hidden", point.at === null);
    if (point.at === null) return;
    const [column, row] = point.at;
    const upright = `scale(${1 / view.scale}) rotate(${-90 * view.quarter})`;
    group.setAttribute("transform", `translate(${column} ${row}) ${upright}`);
    group.dataset["state"] = point.state;
    group.setAttribute("aria-label", pointWords(point));
    group.setAttribute("aria-valuenow", `${column}`);
    group.setAttribute("aria-valuemax", `${this.#facts.columns - 1}`);
    group.setAttribute("aria-valuetext", `${placeWords(point)}, ${point.state}`);
    label.setAttribute("y", low ? "23" : "-11");
    const long = group.matches(":hover, :focus") ? ` ${point.label}` : "";
    say(label, `${number}${long}${point.state === "proposed" ? " proposed" : ""}`);
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
