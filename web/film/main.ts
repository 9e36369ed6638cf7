/** Upgrades every <thumb-film> and <thumb-beside> of a page. */
import { Beside } from "./beside";
import { html } from "./dom";
import { Film } from "./film";
import { readFacts, readGiven } from "./model";

function brokenWords(fault: unknown): HTMLElement {
  const why = fault instanceof SyntaxError || !(fault instanceof Error) ? "" : fault.message;
  const said = `This film cannot be shown. ${why} Reload the page; if this stays, report it.`;
  return html("p", { class: "tf-broken", role: "alert" }, said);
}

class ThumbFilm extends HTMLElement {
  #film: Film | null = null;

  connectedCallback(): void {
    // a film beside another is made by the element that holds both
    if (this.closest("thumb-beside") !== null) return;
    if (this.#film !== null) {
      this.#film.open();
      return;
    }
    const given = this.querySelector('script[type="application/json"]');
    try {
      this.#film = new Film(readFacts(this), readGiven(given?.textContent ?? ""));
      this.replaceChildren(...(given ? [given] : []), this.#film.element);
    } catch (fault) {
      this.replaceChildren(brokenWords(fault));
    }
  }

  disconnectedCallback(): void {
    this.#film?.close();
  }
}

class ThumbBeside extends HTMLElement {
  #made = false;

  connectedCallback(): void {
    if (this.#made) return;
    this.#made = true;
    try {
      const beside = new Beside(this);
      this.prepend(beside.headline);
      this.append(beside.element);
    } catch (fault) {
      this.replaceChildren(brokenWords(fault));
    }
  }
}

if (customElements.get("thumb-film") === undefined) customElements.define("thumb-film", ThumbFilm);
if (customElements.get("thumb-beside") === undefined) {
  customElements.define("thumb-beside", ThumbBeside);
}
