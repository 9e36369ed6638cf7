/** A round magnifier beside the finger, while a point moves. */
import { svg } from "./dom";
import type { FilmFacts, Pair } from "./model";
import { matrix, type Size, type View } from "./view";

const RADIUS = 66;
const TIMES = 4;
/** From the finger to the middle of the magnifier, in screen pixels. */
const AWAY = 118;

let count = 0;

export class Loupe {
  readonly group: SVGGElement;
  readonly #picture: SVGImageElement;

  constructor(facts: FilmFacts) {
    const id = `tf-loupe-${(count += 1)}`;
    this.#picture = filmImage(facts);
    const cross = "M-60 0H-8M8 0H60M0 -60V-8M0 8V60";
    this.group = svg(
      "g",
      { class: "tf-loupe", "aria-hidden": "true" },
      svg("clipPath", { id }, svg("circle", { r: RADIUS })),
      svg("circle", { class: "tf-loupe-ground", r: RADIUS }),
      svg("g", { "clip-path": `url(#${id})` }, this.#picture),
      svg("path", { class: "tf-under", d: cross }),
      svg("path", { class: "tf-over", d: cross }),
      svg("circle", { class: "tf-loupe-rim", r: RADIUS }),
      svg("circle", { class: "tf-loupe-edge", r: RADIUS + 2 }),
    );
    this.hide();
  }

  hide(): void {
    this.group.toggleAttribute("hidden", true);
  }

  /** Show the film around one of its places, clear of the finger. */
  show(place: Pair, finger: Pair, view: View, size: Size): void {
    const room = finger[1] - AWAY - RADIUS > 0;
    const inside = Math.min(Math.max(finger[0], RADIUS + 4), size.width - RADIUS - 4);
    const y = room ? finger[1] - AWAY : finger[1] + AWAY;
    this.group.setAttribute("transform", `translate(${inside} ${y})`);
    const near = { ...view, centre: place };
    this.#picture.setAttribute("transform", matrix(near, [0, 0], view.scale * TIMES));
    this.group.toggleAttribute("hidden", false);
  }
}

/** The picture, stretched over the film's own pixels: the first one's centre is 0, 0. */
export function filmImage(facts: FilmFacts): SVGImageElement {
  return svg("image", {
    class: "tf-picture",
    href: facts.source,
    x: -0.5,
    y: -0.5,
    width: facts.columns,
    height: facts.rows,
    preserveAspectRatio: "none",
  });
}
