/** Upgrades every <thumb-film> of a page. */
import { html } from "./dom";
import { Film } from "./film";
import { readFacts, readPoints } from "./model";

class ThumbFilm extends HTMLElement {
  #film: Film | null = null;

  connectedCallback(): void {
    if (this.#film !== null) {
      this.#film.open();
      return;
    }
    const given = this.querySelector('script[type="application/json"]');
    try {
      const facts = readFacts(this);
      const { points, rounds } = readPoints(given?.textContent ?? "");
      this.#film = new Film(facts, points, rounds);
      this.replaceChildren(...(given ? [given] : []), this.#film.element);
    } catch (fault) {
      const why = fault instanceof SyntaxError || !(fault instanceof Error) ? "" : fault.message;
      const said = `This film cannot be shown. ${why} Reload the page; if this stays, report it.`;
      this.replaceChildren(html("p", { class: "tf-broken", role: "alert" }, said));
    }
  }

  disconnectedCallback(): void {
    this.#film?.close();
  }
}

if (customElements.get("thumb-film") === undefined) customElements.define("thumb-film", ThumbFilm);
