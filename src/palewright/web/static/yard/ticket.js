/** Why nobody digs: the locate is open, or its ticket does not hold on the day that this phone shows. */

import { now } from "./sync.js";

/**
 * @param {{dig: boolean, head: string, legal_from?: string, expires?: string}} locate @param {(key: string, values?: Record<string, string>) => string} words
 * @returns {string} "" where nothing of it says no; days are "2026-12-10", with or without an hour behind them
 */
export function stopText(locate, words) {
  if (!locate.dig) return locate.head;
  const clock = now().slice(0, 16).replace("T", " ");
  const [from, to] = [locate.legal_from ?? "", locate.expires ?? ""];
  if (to && clock.slice(0, to.length) > to) return words("yard_ticket_over", { day: to });
  return from && clock.slice(0, from.length) < from ? words("yard_ticket_early", { day: from }) : "";
}
