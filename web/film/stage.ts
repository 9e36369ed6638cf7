/** The window on the film: picture, points, lines, and which part is seen. */
import { html, say, svg } from "./dom";
import { Drawing, type Answer } from "./drawing";
import { filmImage, Loupe } from "./loupe";
import { Marks, nearest } from "./marks";
import type { FilmFacts, FilmPoint, Pair } from "./model";
import * as viewing from "./view";
import { pickWords, turnWords, whichFilm, whichView } from "./words";

/** So far from the edge a place counts as in sight, in screen pixels. */
const EDGE = 24;

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
  }

  setAnswer(answer: Answer | null): void {
    this.#answer = answer;
    this.#drawing.draw(answer, this.#view);
  }

  setTone(brightness: number, contrast: number, swapped: boolean): void {
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
    this.#see(viewing.wholeFilm(this.#facts, this.#size, this.#view.quarter));
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
    paper.append(this.#film, this.#aim, this.#loupe.group);
    const badge = html(
      "p",
      { class: "tf-badge" },
      html("strong", {}, whichFilm(this.#facts)),
      html("span", {}, whichView(this.#facts)),
      this.#turn,
      this.#swap,
    );
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
