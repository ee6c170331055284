// Sends a decision, and holds on to it until the desk has said what became of it.

import { Problem, ask } from "../common.js";

/** Answers after which the decision is neither kept nor lost: it may be sent again. */
const OPEN = (status) => status === 0 || status === 401 || status === 403 || status === 429 || status >= 500;

export class Sending {
  /** @param {string} walkround its id */
  constructor(walkround) {
    this.address = `/api/walkrounds/${walkround}/decisions`;
    this.shelf = `witnessmark.pending.${walkround}`;
  }

  /** The decision that has no answer yet, also after the page was loaded anew; null for none. */
  get pending() {
    try {
      return JSON.parse(sessionStorage.getItem(this.shelf));
    } catch {
      return null;
    }
  }

  drop() {
    sessionStorage.removeItem(this.shelf);
  }

  /**
   * @param {{item: string, kind: string, why: string, becomes: object|null, seen: number}} decision
   * @returns {Promise<{item: object, queue: string[], count: number}>}
   * @throws {Problem} with `open` set where it may be sent again
   */
  async send(decision) {
    sessionStorage.setItem(this.shelf, JSON.stringify(decision));
    try {
      const answer = await ask("POST", this.address, decision);
      this.drop();
      return answer;
    } catch (error) {
      if (!(error instanceof Problem)) throw error;
      error.open = OPEN(error.status);
      if (!error.open) this.drop();
      throw error;
    }
  }
}

/** A key for a new item that no other page makes too. */
export function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(5));
  return `added-${[...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("")}`;
}
