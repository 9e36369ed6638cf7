/** One hand film and one foot film at one scale, with what is carried from one to the other. */
import { button, html, say } from "./dom";
import { readAnswer, type Answer } from "./drawing";
import { Film } from "./film";
import type { Asking } from "./live";
import { isRecord, readFacts, readGiven, sentPoints, type FilmFacts, type Pair } from "./model";
import { capital } from "./words";

interface Place {
  readonly file: string;
  readonly facts: FilmFacts;
  readonly holder: Element;
  film: Film | null;
  answer: Answer | null;
}

export class Beside {
  readonly element = html("section", { class: "tf-carried" }, html("h2", {}, "Carried over"));
  /** What matters most, above the films. */
  readonly headline = html("p", { class: "tf-headline" });
  readonly #asked: Record<string, string>;
  readonly #url: string;
  readonly #places: readonly Place[];
  readonly #words = html("dl", { class: "tf-lengths" });
  #near = false;

  constructor(holder: Element) {
    const text = (name: string): string => holder.getAttribute(name) ?? "";
    this.#asked = { hand: text("hand"), foot: text("foot"), toe: text("toe") };
    this.#url = text("live-url");
    this.#places = [...holder.querySelectorAll("thumb-film")].map((one) => ({
      file: one.getAttribute("file") ?? "",
      facts: readFacts(one),
      holder: one,
      film: null,
      answer: null,
    }));
    // what is recorded on one film is what the next record on the other is based on
    const version = { basedOn: this.#places[0]?.facts.basedOn ?? "" };
    for (const place of this.#places) {
      const given = place.holder.querySelector('script[type="application/json"]');
      place.film = new Film(place.facts, readGiven(given?.textContent ?? ""), this.#asking(place), version);
      place.holder.replaceChildren(place.film.element);
    }
    const both = html("div", { class: "tf-buttons" });
    both.append(
      button("Show thumb and toe large", {}, () => this.#lookNear()),
      button("Show both films whole", {}, () => this.#films()[0]?.stage.wholeFilm()),
    );
    this.element.append(both, this.#words);
    this.#join();
  }

  #films(): Film[] {
    return this.#places.flatMap(({ film }) => (film === null ? [] : [film]));
  }

  #asking(place: Place): Asking {
    return {
      url: this.#url,
      body: (points) => ({ ...this.#asked, films: this.#sent(place, points) }),
      read: (body) => this.#read(place, body),
    };
  }

  /** Points of films that were touched; of the others the rounds that are saved count. */
  #sent(asking: Place, points: unknown): Record<string, unknown> {
    const touched = this.#places.filter(({ film }) => film?.touched);
    return Object.fromEntries(
      touched.map((place) => [
        place.file,
        { points: place === asking ? points : sentPoints(place.film?.points ?? []) },
      ]),
    );
  }

  #read(asking: Place, body: unknown): Answer | null {
    const films = isRecord(body) ? body["films"] : null;
    if (!isRecord(films) || !isRecord(body)) return null;
    for (const place of this.#places) {
      place.answer = readAnswer(films[place.file]);
      if (place !== asking && place.answer !== null) place.film?.answered(place.answer);
    }
    this.#carried(Array.isArray(body["carried"]) ? body["carried"].filter(isRecord) : []);
    if (!this.#near) {
      this.#near = true;
      // the answer of this film is drawn a moment later
      requestAnimationFrame(() => this.#lookNear());
    }
    return asking.answer;
  }

  #carried(rows: readonly Record<string, unknown>[]): void {
    const texts = rows.flatMap(({ name, text }) => [capital(String(name)), String(text)]);
    const most = rows.filter(({ name }) => /^(missing length|cut)/.test(String(name)));
    const said = most.map(({ name, text }) => `${capital(String(name))}: ${String(text)}.`);
    say(this.headline, said.join(" "));
    const shown = [...this.#words.children];
    if (shown.length === texts.length) {
      shown.forEach((row, index) => say(row, texts[index] ?? ""));
      return;
    }
    const made = texts.map((text, index) => html(index % 2 === 0 ? "dt" : "dd", {}, text));
    this.#words.replaceChildren(...made);
  }

  /** Show both films in the same millimetres from now on, if both are known. */
  #join(): void {
    const films = this.#films();
    if (films.length !== 2 || this.#places.some(({ facts }) => facts.mmPerPx === null)) return;
    const whole = (): number => Math.min(...films.map(({ stage }) => stage.wholePerMm));
    for (const film of films) {
      const other = films.find((one) => one !== film) as Film;
      film.stage.join({ whole, seen: (perMm, all) => other.stage.follow(perMm, all) });
    }
  }

  /** Bring thumb and toe into sight on both films, as large as one scale for both allows. */
  #lookNear(): void {
    const seen = this.#places.flatMap(({ film, answer, facts }) => {
      const ends = answer?.lines.flatMap(({ from, to }) => [from, to]) ?? [];
      const places: readonly Pair[] = answer?.bar?.points ?? ends;
      if (film === null || places.length === 0) return [];
      return [{ film, facts, ...film.stage.around(places) }];
    });
    const joined = seen.every(({ facts }) => facts.mmPerPx !== null);
    const least = Math.min(...seen.map(({ perMm }) => perMm));
    for (const { film, middle, perMm } of seen) film.stage.look(middle, joined ? least : perMm);
  }
}
