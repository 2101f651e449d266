// @ts-check
// The feed from the server, and actions to it.

import { text } from "./texts.js";

/** @typedef {import("./types.js").Frame} Frame */
/** @typedef {import("./types.js").Room} Room */
/** @typedef {import("./types.js").Spoken} Spoken */
/** @typedef {import("./types.js").Hello} Hello */

/** The token stands behind the # of the link, which is never sent; it is kept for this tab and taken off the screen. */
function takeToken() {
  const found = /(?:^#|&)token=([A-Za-z0-9-]+)/.exec(location.hash);
  if (found) {
    sessionStorage.setItem("token", found[1]);
    history.replaceState(null, "", location.pathname);
  }
  return sessionStorage.getItem("token");
}

const token = takeToken();
/** @type {Hello | null} */
let hello = null;
/** @type {Promise<unknown>} */
let queue = Promise.resolve();
let tries = 0;

/**
 * Connects, and again whenever the connection is lost.
 * @param {{ hello: (hello: Hello) => void, frame: (frame: Frame) => void, room: (room: Room) => void, line: (line: Spoken) => void, lost: (why: "lost" | "full") => void }} hear
 */
export function connect(hear) {
  const socket = new WebSocket(`ws://${location.host}/feed`, token ? ["nightbench-page", `token.${token}`] : ["nightbench-page"]);
  let opened = false;
  socket.onmessage = (message) => {
    const said = JSON.parse(message.data);
    switch (said.kind) {
      case "hello":
        opened = true;
        tries = 0;
        hello = said;
        return hear.hello(said);
      case "frame":
        return hear.frame(said);
      case "room":
        return hear.room(said);
      case "line":
        return hear.line(said);
    }
  };
  socket.onclose = () => {
    hello = null;
    hear.lost(opened ? "lost" : "full");
    tries += 1;
    setTimeout(() => connect(hear), Math.min(300 * 2 ** tries, 5000));
  };
}

/**
 * Asks for something.
 * @param {string} path
 * @returns {Promise<any>}
 */
export async function ask(path) {
  // Without the feed there is no pass to show.
  if (!hello) throw new Error(text("lost"));
  const answer = await fetch(path, { headers: { "x-nightbench-pass": hello.pass } });
  if (!answer.ok) throw new Error(await answer.text());
  return answer.headers.get("content-type")?.startsWith("application/json") ? answer.json() : answer.text();
}

/**
 * Does something; one after the other, so that a key's release never comes before its press.
 * @param {Record<string, unknown>} action
 * @returns {Promise<{ ok: boolean, answer?: string | null, problem?: string }>}
 */
export function act(action) {
  const done = queue.then(async () => {
    try {
      const answer = await fetch("act", {
        method: "POST",
        headers: { "content-type": "application/json", "x-nightbench-pass": hello?.pass ?? "" },
        body: JSON.stringify(action),
        keepalive: true,
      });
      return await answer.json();
    } catch (error) {
      return { ok: false, problem: String(error) };
    }
  });
  queue = done;
  return done;
}
