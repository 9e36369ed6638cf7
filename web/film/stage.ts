/** The window on the film: picture, points, lines, and which part is seen. */
import { html, say, svg } from "./dom";
import { Drawing, type Answer } from "./drawing";
import { arrange, type Box } from "./labels";
import { filmImage, Loupe } from "./loupe";
import { Marks, nearest } from "./marks";
import { MillimetreBar } from "./millimetres";
import type { FilmFacts, FilmPoint, Pair } from "./model";
import * as viewing from "./view";
import { pickWords, turnWords, whichFilm, whichView } from "./words";

/** So far from the edge a place counts as in sight, in screen pixels. */
const EDGE = 24;
/** So much room above is left to the words that say which film it is. */
const HEAD = 60;

/** Another film that is shown in the same millimetres. */
export interface Joined {
  /** Screen pixels for a millimetre at which both films are wholly seen. */
  whole(): number;
  /** The other film follows. */
  seen(perMm: number, whole: boolean): void;
}

export class Stage {
  readonly element: HTMLElement;
  readonly marks: Marks;
  readonly #facts: FilmFacts;
  readonly #film = svg("g", { class: "tf-film" });
  readonly #picture: SVGImageElement;
  readonly #drawing = new Drawing();
  readonly #loupe: Loupe;
  readonly #turn = html("span");
  readonly #swap = html("span");
  readonly #pick = html("p", { class: "tf-pick-note", hidden: "" });
  readonly #aim: SVGGElement;
  readonly #resized = new ResizeObserver(() => this.#fit());
  #size: viewing.Size = { width: 0, height: 0 };
  #view: viewing.View;
  #whole = true;
  #points: readonly FilmPoint[];
  #answer: Answer | null = null;
  #joined: Joined | null = null;
  readonly #millimetres = new MillimetreBar();
  #badge: HTMLElement | null = null;

  constructor(facts: FilmFacts, points: readonly FilmPoint[], failed: () => void) {
    this.#facts = facts;
    this.#points = points;
    this.marks = new Marks(facts, points);
    this.#loupe = new Loupe(facts);
    this.#picture = filmImage(facts);
    this.#picture.addEventListener("error", failed);
    this.#view = viewing.wholeFilm(facts, this.#size, 0);
    this.#film.append(this.#picture, this.#drawing.group, this.marks.group);
    const aim = "M-24 0H-4M4 0H24M0 -24V-4M0 4V24";
    this.#aim = svg(
      "g",
      { class: "tf-aim", hidden: "", "aria-hidden": "true" },
      svg("path", { class: "tf-under", d: aim }),
      svg("path", { class: "tf-over", d: aim }),
    );
    this.element = this.#built();
    this.#resized.observe(this.element);
  }

  close(): void {
    this.#resized.disconnect();
  }

  open(): void {
    this.#resized.observe(this.element);
  }

  get view(): viewing.View {
    return this.#view;
  }

  setPoints(points: readonly FilmPoint[]): void {
    this.#points = points;
    this.marks.draw(points, this.#view);
    this.#arrange();
  }

  setAnswer(answer: Answer | null): void {
    this.#answer = answer;
    this.#drawing.draw(answer, this.#view);
    this.#arrange();
  }

  /** Show this film in the same millimetres as another. */
  join(joined: Joined): void {
    this.#joined = joined;
    this.wholeFilm();
  }

  /** Screen pixels for a millimetre at which this film is wholly seen. */
  get wholePerMm(): number {
    const { width, height } = this.#size;
    if (width === 0 || height === 0) return Infinity;
    return viewing.wholeScale(this.#facts, this.#size, this.#view.quarter) / this.#mm;
  }

  /** Take over the millimetres of the other film. */
  follow(perMm: number, whole: boolean): void {
    this.#whole = whole;
    const view = whole
      ? viewing.wholeFilm(this.#facts, this.#size, this.#view.quarter)
      : this.#view;
    this.#see({ ...view, scale: perMm * this.#mm });
  }

  /** Screen pixels for a millimetre at which all these places are seen, and their middle. */
  around(places: readonly Pair[]): { readonly perMm: number; readonly middle: Pair } {
    const on = places.map((at) => viewing.turned(at, this.#view.quarter));
    const ends = ([0, 1] as const).map((axis) => on.map((at) => at[axis]));
    const [across, down] = ends.map((some) => Math.max(...some) - Math.min(...some));
    const fit = (room: number, need: number | undefined): number =>
      Math.max(room - 5 * EDGE, EDGE) / Math.max(need ?? 0, 1);
    const scale = Math.min(fit(this.#size.width, across), fit(this.#size.height - HEAD, down));
    const middle = ([0, 1] as const).map((axis) => {
      const some = places.map((at) => at[axis]);
      return (Math.max(...some) + Math.min(...some)) / 2;
    });
    return { perMm: scale / this.#mm, middle: [middle[0] ?? 0, middle[1] ?? 0] };
  }

  look(centre: Pair, perMm: number): void {
    this.#whole = false;
    const view = { ...this.#view, scale: perMm * this.#mm };
    const [columns, rows] = viewing.filmStep(view, [0, -HEAD / 2]);
    this.#see({ ...view, centre: [centre[0] + columns, centre[1] + rows] });
  }

  get #mm(): number {
    return this.#facts.mmPerPx ?? 1;
  }

  tone(brightness: number, contrast: number, swapped: boolean): void {
    const inverted = swapped ? "invert(1) " : "";
    const plain = brightness === 100 && contrast === 100 && !swapped;
    // a filter costs time at every repaint, even one that changes nothing
    const filter = plain ? "none" : `${inverted}brightness(${brightness}%) contrast(${contrast}%)`;
    this.element.style.setProperty("--tf-tone", filter);
    say(this.#swap, swapped ? "black and white swapped" : "");
  }

  /** Ask for a place on the film, or stop asking. */
  ask(label: string | null): void {
    this.#pick.hidden = label === null;
    say(this.#pick, label === null ? "" : pickWords(label));
    this.#aim.toggleAttribute("hidden", label === null);
    this.element.classList.toggle("tf-asking", label !== null);
  }

  meant(at: Pair): string | null {
    return nearest(this.#points, (place) => this.onScreen(place), at)?.name ?? null;
  }

  onScreen(place: Pair): Pair {
    return viewing.toScreen(this.#view, this.#size, place);
  }

  onFilm(at: Pair): Pair {
    return viewing.toFilm(this.#view, this.#size, at);
  }

  get middle(): Pair {
    return [this.#size.width / 2, this.#size.height / 2];
  }

  magnify(place: Pair, finger: Pair): void {
    this.#loupe.show(place, finger, this.#view, this.#size);
  }

  putLoupeAway(): void {
    this.#loupe.hide();
  }

  wholeFilm(): void {
    this.#whole = true;
    const view = viewing.wholeFilm(this.#facts, this.#size, this.#view.quarter);
    const perMm = this.#joined?.whole() ?? Infinity;
    this.#see(Number.isFinite(perMm) ? { ...view, scale: perMm * this.#mm } : view);
    if (Number.isFinite(perMm)) this.#joined?.seen(perMm, true);
  }

  turn(): void {
    const quarter = ((this.#view.quarter + 1) % 4) as viewing.Quarter;
    say(this.#turn, turnWords(quarter));
    this.#view = { ...this.#view, quarter };
    if (this.#whole) this.wholeFilm();
    else this.#see(this.#view);
  }

  zoom(about: Pair, factor: number): void {
    this.#whole = false;
    this.#see(viewing.zoomed(this.#view, this.#facts, this.#size, about, factor));
    this.#joined?.seen(this.#view.scale / this.#mm, false);
  }

  zoomBy(factor: number): void {
    this.zoom(this.middle, factor);
  }

  /** Drag the film by so much on screen. */
  pan([x, y]: Pair): void {
    this.#whole = false;
    const [columns, rows] = viewing.filmStep(this.#view, [-x, -y]);
    const [column, row] = this.#view.centre;
    this.#see({ ...this.#view, centre: [column + columns, row + rows] });
  }

  /** Bring a place of the film into sight, if it is not. */
  reveal(place: Pair): void {
    const [x, y] = this.onScreen(place);
    const { width, height } = this.#size;
    if (x >= EDGE && y >= EDGE && x <= width - EDGE && y <= height - EDGE) return;
    this.#whole = false;
    this.#see({ ...this.#view, centre: place });
  }

  #see(view: viewing.View): void {
    this.#view = viewing.held(view, this.#facts, this.#size);
    this.#film.setAttribute("transform", viewing.matrix(this.#view, this.middle, this.#view.scale));
    this.marks.draw(this.#points, this.#view);
    this.#drawing.draw(this.#answer, this.#view);
    this.#aim.setAttribute("transform", `translate(${this.middle[0]} ${this.middle[1]})`);
    this.#arrange();
  }

  /** Put all words where they cover nothing. */
  #arrange(): void {
    const { width, height } = this.#size;
    if (width === 0 || height === 0) return;
    const mm = this.#answer?.scale?.mmPerPx ?? this.#facts.mmPerPx;
    const where = (at: Pair): Pair => this.onScreen(at);
    const taken: Box[] = [];
    const bar = this.#millimetres.draw(mm === null ? null : this.#view.scale / mm, this.#size);
    if (bar !== null) taken.push(bar);
    const badge = this.#badge;
    if (badge !== null) {
      taken.push({ left: 0, top: 0, right: badge.offsetWidth + 14, bottom: badge.offsetHeight + 14 });
    }
    const must = this.#drawing.labels.filter((label) => label.must);
    const rest = this.#drawing.labels.filter((label) => !label.must);
    arrange([...must, ...this.marks.labels(this.#points), ...rest], {
      where,
      width,
      height,
      marks: this.#points.flatMap(({ at }) => (at === null ? [] : [where(at)])),
      lines: this.#drawing.lines.map(([from, to]) => [where(from), where(to)] as const),
      taken,
    });
  }

  #fit(): void {
    this.#size = { width: this.element.clientWidth, height: this.element.clientHeight };
    if (this.#size.width === 0 || this.#size.height === 0) return;
    if (this.#whole) this.wholeFilm();
    else this.#see(this.#view);
  }

  #built(): HTMLElement {
    const { columns, rows } = this.#facts;
    const paper = svg("svg", { class: "tf-paper", focusable: "false" });
    paper.append(this.#film, this.#millimetres.group, this.#aim, this.#loupe.group);
    const badge = html(
      "p",
      { class: "tf-badge" },
      html("strong", {}, whichFilm(this.#facts)),
      html("span", {}, whichView(this.#facts)),
      this.#turn,
      this.#swap,
    );
    this.#badge = badge;
    const said = `Film, ${whichFilm(this.#facts)}, ${whichView(this.#facts)}, ${columns} by ${rows}`;
    const keys = "Arrow keys move the film, plus and minus zoom, zero shows all of it.";
    return html(
      "div",
      { class: "tf-stage", tabindex: 0, role: "application", "aria-label": `${said}. ${keys}` },
      paper,
      badge,
      this.#pick,
    );
  }
}
