/** One film at work: its points, their movements, and everything that follows from them. */
import { html, say } from "./dom";
import { readAnswer, type Answer } from "./drawing";
import { Gestures, type GestureHost } from "./gestures";
import { readKey, type Arrow, type Command } from "./keys";
import { Live, type Asking } from "./live";
import {
  isRuler,
  onFilm,
  replaced,
  type FilmFacts,
  type FilmPoint,
  type Given,
  type Pair,
} from "./model";
import { Unsaved, type OfferHost } from "./offer";
import { Panel, type PanelHost } from "./panel";
import { saveRound } from "./saving";
import { Stage } from "./stage";
import { Toolbar, ZOOM_STEP } from "./toolbar";
import { filmStep } from "./view";
import { pointWords, SAYS } from "./words";
import { Work, type WorkHost } from "./work";

/** After the last key a movement counts as ended. */
const REST_MS = 700;
const PAN_PX = 48;
const REMEMBERED = 100;

export class Film implements GestureHost, OfferHost, PanelHost, WorkHost {
  readonly element: HTMLElement;
  readonly stage: Stage;
  readonly #version: { basedOn: string };
  readonly #facts: FilmFacts;
  readonly #panel: Panel;
  readonly #tools: Toolbar;
  readonly #gestures: Gestures;
  readonly #kept: Unsaved;
  readonly #live: Live;
  readonly #work: Work;
  readonly #spoken = html("p", { class: "tf-spoken", "aria-live": "polite" });
  readonly #leaving = (): void => this.#rest();
  #points: readonly FilmPoint[];
  #past: (readonly FilmPoint[])[] = [];
  #grabbed: FilmPoint | null = null;
  #stepped: string | null = null;
  #resting = 0;
  #asked: string | null = null;
  #rounds: number;
  #unsaved = false;
  #touched = false;
  #saving = false;

  constructor(facts: FilmFacts, given: Given, asking: Asking | null = null, version = { basedOn: facts.basedOn }) {
    this.#facts = facts;
    this.#points = given.points;
    this.#rounds = given.rounds;
    this.#version = version;
    this.#kept = new Unsaved(facts);
    this.#work = new Work(facts, given, this);
    this.stage = new Stage(facts, this.#points, () => say(this.#spoken, SAYS.noPicture));
    this.#panel = new Panel(this, this.#points, facts.liveUrl !== "", this.#work.sections);
    this.#tools = new Toolbar(this.stage, () => this.takeBack());
    this.#gestures = new Gestures(this.stage.element, this);
    this.#live = new Live(facts, this.#hearing(), asking ?? this.#asking());
    const left = html("div", { class: "tf-left" });
    const [tools, tones] = [this.#tools.element, this.#tools.tones];
    const parts = [tools, this.#kept.element, this.stage.element, this.#spoken];
    // two films side by side need the room above for themselves
    if (asking === null) parts.splice(1, 0, tones);
    else parts.push(html("details", {}, html("summary", {}, "Brightness and contrast"), tones));
    left.append(...parts);
    this.element = html("div", { class: "tf-film-page" }, left, this.#panel.element);
    this.#listen();
    addEventListener("pagehide", this.#leaving);
    this.#kept.offer(this.#points, this.basedOn, this);
    this.#show();
    this.follow();
  }

  /** The version of the case on which the next thing recorded is based. */
  get basedOn(): string {
    return this.#version.basedOn;
  }

  set basedOn(basedOn: string) {
    this.#version.basedOn = basedOn;
  }

  get points(): readonly FilmPoint[] {
    return this.#points;
  }

  /** True once a point was moved, confirmed or dismissed since the page was opened. */
  get touched(): boolean {
    return this.#touched;
  }

  answered(answer: Answer): void {
    this.stage.setAnswer(answer);
    this.#panel.showAnswer(answer);
    this.#work.answered(answer);
  }

  follow(): void {
    this.#live.follow(this.#points);
  }

  #hearing(): ConstructorParameters<typeof Live>[1] {
    return {
      answered: (answer) => this.answered(answer),
      stands: (words, stale) => this.#panel.showStand(words, stale),
      speak: (words) => say(this.#spoken, words),
    };
  }

  #asking(): Asking {
    const body: Asking["body"] = (points) => this.#work.body(points);
    return { url: this.#facts.liveUrl, body, read: readAnswer };
  }

  open(): void {
    this.stage.open();
    addEventListener("pagehide", this.#leaving);
  }

  close(): void {
    this.stage.close();
    removeEventListener("pagehide", this.#leaving);
    this.#rest();
  }

  // mouse and finger on the film

  pan(moved: Pair): void {
    this.stage.pan(moved);
  }

  zoom(about: Pair, factor: number): void {
    this.stage.zoom(about, factor);
  }

  meant(at: Pair): string | null {
    return this.#asked === null ? this.stage.meant(at) : null;
  }

  grab(name: string): void {
    this.#rest();
    this.#grabbed = this.#point(name);
    this.stage.marks.focus(name);
  }

  drag(name: string, moved: Pair, finger: Pair): void {
    const start = this.#grabbed;
    if (start === null || start.name !== name || start.at === null) return;
    if (this.#point(name) === start) this.#remember();
    const [columns, rows] = filmStep(this.stage.view, moved);
    const at = onFilm([start.at[0] + columns, start.at[1] + rows], this.#facts);
    this.#change({ ...start, at });
    this.stage.magnify(at, finger);
  }

  drop(name: string, kept: boolean): void {
    const start = this.#grabbed;
    this.#grabbed = null;
    this.stage.putLoupeAway();
    if (kept) {
      this.#ended(name);
    } else if (start !== null && this.#point(name) !== start) {
      this.#set(this.#past.pop() ?? this.#points);
    }
  }

  tap(at: Pair): void {
    if (this.#asked !== null) this.#put(this.#asked, this.stage.onFilm(at));
  }

  // the list

  choose(name: string): void {
    const point = this.#point(name);
    if (point === null) return;
    if (point.at === null) {
      this.#ask(this.#asked === name ? null : name);
      return;
    }
    this.#ask(null);
    this.stage.reveal(point.at);
    this.stage.marks.focus(name);
  }

  confirm(name: string): void {
    const point = this.#point(name);
    if (point === null || point.state !== "proposed") return;
    this.#rest();
    this.#remember();
    this.#change({ ...point, state: "placed", confirmed: true });
    this.#ended(name);
  }

  dismiss(name: string): void {
    this.#work.dismiss(name);
  }

  instead(points: readonly FilmPoint[], said: string): void {
    this.#rest();
    this.#remember();
    this.#set(points);
    this.#live.tell(said);
  }

  takeBack(): void {
    this.#rest();
    const before = this.#past.pop();
    if (before === undefined) return;
    this.#set(before);
    this.#live.tell("Taken back.");
  }

  async save(): Promise<void> {
    if (this.#saving) return;
    this.#saving = true;
    this.#rest();
    const points = this.#points;
    this.#panel.showSaving(SAYS.saving, "busy");
    const saved = await saveRound(this.#facts, points, this.basedOn);
    if (saved.ok) {
      this.#rounds = saved.rounds ?? this.#rounds + 1;
      this.basedOn = saved.basedOn ?? this.basedOn;
      this.#unsaved = this.#points !== points;
      this.#keep();
      this.#show();
    }
    this.#saving = false;
    this.#panel.showSaving(saved.words, saved.ok ? "good" : "bad");
  }

  // keys

  #listen(): void {
    const stage = this.stage.element;
    stage.addEventListener("keydown", (event) => this.#key(event));
    for (const kind of ["focusin", "focusout", "pointerover", "pointerout"]) {
      stage.addEventListener(kind, () => this.stage.setPoints(this.#points));
    }
    stage.addEventListener("focusin", (event) => {
      const at = this.#focused(event)?.at;
      if (at && this.#grabbed === null) this.stage.reveal(at);
    });
    stage.addEventListener("focusout", () => this.#rest());
  }

  #focused(event: Event): FilmPoint | null {
    const mark = event.target instanceof Element ? event.target.closest("[data-name]") : null;
    return this.#point(mark?.getAttribute("data-name") ?? "");
  }

  #key(event: KeyboardEvent): void {
    const command = readKey(event);
    if (command !== null && this.#obey(command, this.#focused(event))) event.preventDefault();
  }

  #obey(command: Command, point: FilmPoint | null): boolean {
    if (command.kind === "arrow") this.#arrow(command, point);
    else if (command.kind === "escape") return this.#escape();
    else if (command.kind === "back") this.takeBack();
    else if (command.kind === "larger") this.stage.zoomBy(ZOOM_STEP);
    else if (command.kind === "smaller") this.stage.zoomBy(1 / ZOOM_STEP);
    else if (command.kind === "whole") this.stage.wholeFilm();
    else return this.#enter(point);
    return true;
  }

  #arrow({ way, pixels }: Arrow, point: FilmPoint | null): void {
    if (point !== null) this.#step(point, way, pixels);
    else this.pan([-way[0] * PAN_PX, -way[1] * PAN_PX]);
  }

  #enter(point: FilmPoint | null): boolean {
    if (this.#asked !== null) this.tap(this.stage.middle);
    else if (point !== null) this.confirm(point.name);
    else return false;
    return true;
  }

  #escape(): boolean {
    if (this.#gestures.giveUp()) return true;
    if (this.#asked === null) return false;
    this.#ask(null);
    return true;
  }

  /** Move a point by so many film pixels in a direction as seen on screen. */
  #step(point: FilmPoint, arrow: Pair, pixels: number): void {
    if (point.at === null || this.#grabbed !== null) return;
    if (this.#stepped !== point.name) {
      this.#rest();
      this.#remember();
    }
    this.#stepped = point.name;
    const view = { ...this.stage.view, scale: 1 / pixels };
    const [columns, rows] = filmStep(view, arrow);
    const at = onFilm([point.at[0] + columns, point.at[1] + rows], this.#facts);
    this.#change({ ...point, at });
    this.stage.reveal(at);
    this.stage.magnify(at, this.stage.onScreen(at));
    clearTimeout(this.#resting);
    this.#resting = setTimeout(() => this.#rest(), REST_MS);
  }

  /** End a movement by keys, if one is under way. */
  #rest(): void {
    clearTimeout(this.#resting);
    const name = this.#stepped;
    if (name === null) return;
    this.#stepped = null;
    this.stage.putLoupeAway();
    this.#ended(name);
  }

  // what follows from a change

  #point(name: string): FilmPoint | null {
    return this.#points.find((point) => point.name === name) ?? null;
  }

  #ask(name: string | null): void {
    this.#rest();
    this.#asked = name;
    this.stage.ask(name === null ? null : (this.#point(name)?.label ?? null));
    if (name !== null) this.stage.element.focus();
    this.#show();
  }

  #put(name: string, place: Pair): void {
    const point = this.#point(name);
    this.#ask(null);
    if (point === null) return;
    this.#remember();
    const fresh = { state: "placed", confirmed: false, trust: "", sure: false } as const;
    this.#change({ ...point, at: onFilm(place, this.#facts), ...fresh });
    this.stage.marks.focus(name);
    this.#ended(name);
  }

  #remember(): void {
    this.#past = [...this.#past.slice(-REMEMBERED), this.#points];
  }

  #change(point: FilmPoint): void {
    this.#set(replaced(this.#points, point));
  }

  #set(points: readonly FilmPoint[]): void {
    const moved = points.filter((point, index) => point !== this.#points[index]);
    if (moved.some(({ name }) => isRuler(name))) this.#work.rulerMoved();
    this.#unsaved ||= moved.some(({ name }) => !isRuler(name));
    this.#touched = true;
    this.#points = points;
    this.#show();
    this.follow();
    if (this.#grabbed === null && this.#stepped === null) this.#keep();
  }

  #ended(name: string): void {
    this.#keep();
    this.#show();
    const point = this.#point(name);
    if (point !== null) this.#live.tell(`${pointWords(point)}.`);
  }

  #show(): void {
    this.stage.setPoints(this.#points);
    this.#work.showPoints(this.#points);
    this.#tools.allowTakeBack(this.#past.length > 0);
    this.#panel.show({
      points: this.#points,
      asked: this.#asked,
      rounds: this.#rounds,
      unsaved: this.#unsaved ? this.#kept.words : "",
    });
  }

  // unsaved points

  bringBack(points: readonly FilmPoint[]): void {
    this.instead(points, "The unsaved points are back.");
  }

  decided(): void {
    this.#keep();
    this.#show();
  }

  #keep(): void {
    this.#kept.keep(this.#points, this.#unsaved, this.basedOn);
  }
}
