/** Sending one round of points to be kept. */
import { messageOf, post } from "./link";
import { isRecord, isRuler, sentPoints, type FilmFacts, type FilmPoint } from "./model";
import { SAYS } from "./words";

export interface Saved {
  readonly ok: boolean;
  readonly words: string;
  readonly rounds: number | null;
  readonly basedOn: string | null;
}

export async function saveRound(
  facts: FilmFacts,
  points: readonly FilmPoint[],
  basedOn: string,
): Promise<Saved> {
  const sent = points.filter((point) => !isRuler(point.name));
  const confirmed = sent.filter((point) => point.confirmed).map((point) => point.name);
  const body = { based_on: basedOn, points: sentPoints(sent), confirmed };
  const reply = await post(facts.saveUrl, body, facts.csrf);
  const plain = reply.ok ? SAYS.saved : reply.answered ? SAYS.refused : SAYS.noAnswer;
  const given = isRecord(reply.body) ? reply.body : {};
  const { rounds, based_on: version } = given;
  return {
    ok: reply.ok,
    words: messageOf(reply) ?? plain,
    rounds: typeof rounds === "number" ? rounds : null,
    basedOn: typeof version === "string" ? version : null,
  };
}
