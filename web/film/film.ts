/** One film at work: its points, their movements, and everything that follows from them. */
import { button, html, say } from "./dom";
import { Drafts, type Draft } from "./draft";
import { Gestures, type GestureHost } from "./gestures";
import { messageOf, post } from "./link";
import { Live } from "./live";
import {
  isRecord,
  onFilm,
  replaced,
  sentPoints,
  type FilmFacts,
  type FilmPoint,
  type Pair,
} from "./model";
import { Panel, type PanelHost } from "./panel";
import { Stage } from "./stage";
import { Toolbar, ZOOM_STEP, type ToolbarHost } from "./toolbar";
import { filmStep } from "./view";
import { draftWords, pointWords, SAYS, unsavedWords } from "./words";

/** After the last key a movement counts as ended. */
const REST_MS = 700;
const PAN_PX = 48;
const REMEMBERED = 100;

const ARROWS: Readonly<Record<string, Pair>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

export class Film implements GestureHost, PanelHost, ToolbarHost {
  readonly element: HTMLElement;
  readonly #facts: FilmFacts;
  readonly #stage: Stage;
  readonly #panel: Panel;
  readonly #tools: Toolbar;
  readonly #gestures: Gestures;
  readonly #drafts: Drafts;
  readonly #live: Live;
  readonly #spoken = html("p", { class: "tf-spoken", "aria-live": "polite" });
  readonly #leaving = (): void => this.#rest();
  readonly #offer = html("div", { class: "tf-offer", hidden: "" });
  #points: readonly FilmPoint[];
  #past: (readonly FilmPoint[])[] = [];
  #grabbed: FilmPoint | null = null;
  #stepped: string | null = null;
  #resting = 0;
  #asked: string | null = null;
  #basedOn: string;
  #rounds: number;
  #unsaved = false;
  #keeps = true;
  #offered = false;
  #saving = false;

  constructor(facts: FilmFacts, points: readonly FilmPoint[], rounds: number) {
    this.#facts = facts;
    this.#points = points;
    this.#rounds = rounds;
    this.#basedOn = facts.basedOn;
    this.#drafts = new Drafts(facts);
    this.#stage = new Stage(facts, points, () => say(this.#spoken, SAYS.noPicture));
    this.#panel = new Panel(this, points, facts.liveUrl !== "", facts.saveUrl !== "");
    this.#tools = new Toolbar(this);
    this.#gestures = new Gestures(this.#stage.element, this);
    this.#live = new Live(facts, {
      answered: (answer) => {
        this.#stage.setAnswer(answer);
        this.#panel.showAnswer(answer);
      },
      stands: (words, stale) => this.#panel.showStand(words, stale),
      speak: (words) => say(this.#spoken, words),
    });
    const left = html("div", { class: "tf-left" });
    left.append(this.#tools.element, this.#offer, this.#stage.element, this.#spoken);
    this.element = html("div", { class: "tf-film-page" }, left, this.#panel.element);
    this.#listen();
    addEventListener("pagehide", this.#leaving);
    this.#offerDraft();
    this.#show();
    this.#live.follow(points);
  }

  open(): void {
    this.#stage.open();
    addEventListener("pagehide", this.#leaving);
  }

  close(): void {
    this.#stage.close();
    removeEventListener("pagehide", this.#leaving);
    this.#rest();
  }

  // the view

  zoomBy(factor: number): void {
    this.#stage.zoom(this.#stage.middle, factor);
  }

  wholeFilm(): void {
    this.#stage.wholeFilm();
  }

  turn(): void {
    this.#stage.turn();
  }

  tone(brightness: number, contrast: number, swapped: boolean): void {
    this.#stage.setTone(brightness, contrast, swapped);
  }

  pan(moved: Pair): void {
    this.#stage.pan(moved);
  }

  zoom(about: Pair, factor: number): void {
    this.#stage.zoom(about, factor);
  }

  // moving points by mouse and finger

  meant(at: Pair): string | null {
    return this.#asked === null ? this.#stage.meant(at) : null;
  }

  grab(name: string): void {
    this.#rest();
    this.#grabbed = this.#point(name);
    this.#stage.marks.focus(name);
  }

  drag(name: string, moved: Pair, finger: Pair): void {
    const start = this.#grabbed;
    if (start === null || start.name !== name || start.at === null) return;
    if (this.#point(name) === start) this.#remember();
    const [columns, rows] = filmStep(this.#stage.view, moved);
    const at = onFilm([start.at[0] + columns, start.at[1] + rows], this.#facts);
    this.#change({ ...start, at });
    this.#stage.magnify(at, finger);
  }

  drop(name: string, kept: boolean): void {
    const start = this.#grabbed;
    this.#grabbed = null;
    this.#stage.putLoupeAway();
    if (kept) {
      this.#ended(name);
    } else if (start !== null && this.#point(name) !== start) {
      this.#points = this.#past.pop() ?? this.#points;
      this.#changed();
    }
  }

  tap(at: Pair): void {
    if (this.#asked !== null) this.#put(this.#asked, this.#stage.onFilm(at));
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
    this.#stage.reveal(point.at);
    this.#stage.marks.focus(name);
  }

  confirm(name: string): void {
    const point = this.#point(name);
    if (point === null || point.state !== "proposed") return;
    this.#rest();
    this.#remember();
    this.#change({ ...point, state: "placed", confirmed: true });
    this.#ended(name);
  }

  takeBack(): void {
    this.#rest();
    const before = this.#past.pop();
    if (before === undefined) return;
    this.#points = before;
    this.#changed();
    this.#live.tell("Taken back.");
  }

  async save(): Promise<void> {
    if (this.#saving) return;
    this.#saving = true;
    this.#rest();
    const sent = this.#points;
    const confirmed = sent.filter((point) => point.confirmed).map((point) => point.name);
    const body = { based_on: this.#basedOn, points: sentPoints(sent), confirmed };
    this.#panel.showSaving(SAYS.saving, "busy");
    const reply = await post(this.#facts.saveUrl, body, this.#facts.csrf);
    const plain = reply.ok ? SAYS.saved : reply.answered ? SAYS.refused : SAYS.noAnswer;
    if (reply.ok) {
      const given = isRecord(reply.body) ? reply.body : {};
      this.#rounds = typeof given["rounds"] === "number" ? given["rounds"] : this.#rounds + 1;
      if (typeof given["based_on"] === "string") this.#basedOn = given["based_on"];
      this.#unsaved = this.#points !== sent;
      this.#keep();
      this.#show();
    }
    this.#saving = false;
    this.#panel.showSaving(messageOf(reply) ?? plain, reply.ok ? "good" : "bad");
  }

  // keys

  #listen(): void {
    const stage = this.#stage.element;
    stage.addEventListener("keydown", (event) => this.#key(event));
    for (const kind of ["focusin", "focusout", "pointerover", "pointerout"]) {
      stage.addEventListener(kind, () => this.#stage.setPoints(this.#points));
    }
    stage.addEventListener("focusin", (event) => {
      const at = this.#focused(event)?.at;
      if (at && this.#grabbed === null) this.#stage.reveal(at);
    });
    stage.addEventListener("focusout", () => this.#rest());
  }

  #focused(event: Event): FilmPoint | null {
    const mark = event.target instanceof Element ? event.target.closest("[data-name]") : null;
    return this.#point(mark?.getAttribute("data-name") ?? "");
  }

  #key(event: KeyboardEvent): void {
    if (this.#taken(event, this.#focused(event))) event.preventDefault();
  }

  #taken(event: KeyboardEvent, point: FilmPoint | null): boolean {
    if (event.key === "Escape") return this.#escape();
    if (event.key.toLowerCase() === "z" && (event.ctrlKey || event.metaKey)) {
      this.takeBack();
      return true;
    }
    if (event.ctrlKey || event.metaKey) return false;
    const arrow = ARROWS[event.key];
    if (arrow !== undefined) {
      if (point === null) this.pan([-arrow[0] * PAN_PX, -arrow[1] * PAN_PX]);
      else this.#step(point, arrow, event.shiftKey ? 10 : event.altKey ? 0.1 : 1);
      return true;
    }
    return this.#plainKey(event.key, point);
  }

  #plainKey(key: string, point: FilmPoint | null): boolean {
    if (key === "+" || key === "=") this.zoomBy(ZOOM_STEP);
    else if (key === "-") this.zoomBy(1 / ZOOM_STEP);
    else if (key === "0") this.wholeFilm();
    else if (key === "Enter" && this.#asked !== null) this.tap(this.#stage.middle);
    else if (key === "Enter" && point !== null) this.confirm(point.name);
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
    const view = { ...this.#stage.view, scale: 1 / pixels };
    const [columns, rows] = filmStep(view, arrow);
    const at = onFilm([point.at[0] + columns, point.at[1] + rows], this.#facts);
    this.#change({ ...point, at });
    this.#stage.reveal(at);
    this.#stage.magnify(at, this.#stage.onScreen(at));
    clearTimeout(this.#resting);
    this.#resting = setTimeout(() => this.#rest(), REST_MS);
  }

  /** End a movement by keys, if one is under way. */
  #rest(): void {
    clearTimeout(this.#resting);
    const name = this.#stepped;
    if (name === null) return;
    this.#stepped = null;
    this.#stage.putLoupeAway();
    this.#ended(name);
  }

  // what follows from a change

  #point(name: string): FilmPoint | null {
    return this.#points.find((point) => point.name === name) ?? null;
  }

  #ask(name: string | null): void {
    this.#rest();
    this.#asked = name;
    this.#stage.ask(name === null ? null : (this.#point(name)?.label ?? null));
    if (name !== null) this.#stage.element.focus();
    this.#show();
  }

  #put(name: string, place: Pair): void {
    const point = this.#point(name);
    this.#ask(null);
    if (point === null) return;
    this.#remember();
    this.#change({ ...point, at: onFilm(place, this.#facts), state: "placed" });
    this.#stage.marks.focus(name);
    this.#ended(name);
  }

  #remember(): void {
    this.#past = [...this.#past.slice(-REMEMBERED), this.#points];
  }

  #change(point: FilmPoint): void {
    this.#points = replaced(this.#points, point);
    this.#changed();
  }

  #changed(): void {
    this.#unsaved = true;
    this.#show();
    this.#live.follow(this.#points);
    if (this.#grabbed === null && this.#stepped === null) this.#keep();
  }

  #ended(name: string): void {
    this.#keep();
    this.#show();
    const point = this.#point(name);
    if (point !== null) this.#live.tell(`${pointWords(point)}.`);
  }

  #show(): void {
    this.#stage.setPoints(this.#points);
    this.#tools.allowTakeBack(this.#past.length > 0);
    this.#panel.show({
      points: this.#points,
      asked: this.#asked,
      rounds: this.#rounds,
      unsaved: this.#unsaved ? unsavedWords(this.#keeps, this.#offered) : "",
    });
  }

  // unsaved points

  /** Keep what is unsaved; older kept points wait untouched until they are brought back or not. */
  #keep(): void {
    if (this.#offered) return;
    if (this.#unsaved) this.#keeps = this.#drafts.keep(this.#points, this.#basedOn);
    else this.#drafts.drop();
  }

  #offerDraft(): void {
    const draft = this.#drafts.read(this.#points);
    if (draft === null) return;
    this.#offered = true;
    const older = draft.basedOn !== this.#basedOn;
    this.#offer.append(
      html("p", {}, draftWords(draft.kept, older)),
      button("Bring them back", {}, () => this.#bringBack(draft)),
      button("Throw them away", {}, () => this.#closeOffer()),
    );
    this.#offer.hidden = false;
  }

  #bringBack(draft: Draft): void {
    this.#closeOffer();
    this.#remember();
    this.#points = draft.points;
    this.#changed();
    this.#live.tell("The unsaved points are back.");
  }

  #closeOffer(): void {
    const focused = this.#offer.contains(document.activeElement);
    this.#offered = false;
    this.#offer.hidden = true;
    this.#keep();
    this.#show();
    if (focused) this.#stage.element.focus();
  }
}
