// @ts-check
/* What is typed goes to the program as places and values; what comes back is the screen anew, of
   which only what is different is put in, so that the caret stays where it is. */
(() => {
  "use strict";

  /** @typedef {[Array<string | number>, unknown]} Change */
  /** @typedef {{ path: string, body: Record<string, unknown>, then?: () => void }} Asked */
  /** @typedef {{ revision: number, message: string, effect: string, title: string, head: string,
   *   rail: string, main: string, answer: string }} Told */

  /** @param {string} id @returns {HTMLElement} */
  const byId = (id) => /** @type {HTMLElement} */ (document.getElementById(id));
  const token = document.querySelector("meta[name=change-token]")?.getAttribute("content") ?? "";
  const step = document.body.dataset.step ?? "";
  let revision = Number(document.body.dataset.revision);
  let opened = new URLSearchParams(location.search).get("open") ?? "";
  const WAIT_MS = 500;
  const RETRY_MS = 1500;

  // ------------------------------------------------------------ sending

  /** @type {Asked[]} */
  const queue = [];
  let isSending = false;
  let isLost = false;
  /** Where a link leads that was pressed before all was sent. @type {HTMLAnchorElement | null} */
  let leaving = null;

  /** @param {boolean} lost */
  const tellLost = (lost) => {
    if (lost !== isLost) byId("lost").hidden = !lost;
    isLost = lost;
    document.body.classList.toggle("lost", lost);
  };

  /** @param {string} text */
  const tell = (text) => {
    const place = byId("message");
    place.hidden = !text;
    place.textContent = text;
  };

  /** @param {string} path @param {Record<string, unknown>} body @param {() => void} [then] */
  const send = (path, body, then) => {
    queue.push({ path, body, then });
    void work();
  };

  const work = async () => {
    if (isSending) return;
    isSending = true;
    document.body.setAttribute("aria-busy", "true");
    while (queue.length) {
      const own = queue[0];
      let answer;
      try {
        answer = await fetch(own.path, {
          method: "POST",
          headers: { "content-type": "application/json", "x-plan-token": token },
          body: JSON.stringify({ step, open: opened, revision, ...own.body }),
        });
      } catch {
        tellLost(true);
        await new Promise((done) => setTimeout(done, RETRY_MS));
        continue;
      }
      tellLost(false);
      queue.shift();
      await take(own, answer);
    }
    isSending = false;
    document.body.removeAttribute("aria-busy");
    const link = leaving;
    leaving = null;
    link?.click();
  };

  /** @param {Asked} own @param {Response} answer */
  const take = async (own, answer) => {
    if (answer.status === 403) {
      tell("This window belongs to an earlier start of the program. Go on in the new one: the draft is there.");
      return;
    }
    if (!answer.headers.get("content-type")?.includes("json")) {
      tell(await answer.text());
      return;
    }
    /** @type {Told} */
    const told = await answer.json();
    if (told.revision === undefined) {
      tell(told.message);
      return;
    }
    revision = told.revision;
    tell(told.message);
    if (answer.status === 412) askOver();
    if (answer.status === 415) download();
    show(told);
    channel?.postMessage({ kind: "changed", revision });
    if (answer.ok) own.then?.();
  };

  // ------------------------------------------------------------ showing

  /** @param {Element} place @param {string} html */
  const put = (place, html) => {
    const fresh = document.createElement(place.tagName);
    fresh.innerHTML = html;
    merge(place, fresh);
  };

  /** Make one element's children those of another, keeping what is the same and the field that
   * has the caret. @param {Element} old @param {Element} fresh */
  const merge = (old, fresh) => {
    const focus = document.activeElement;
    const olds = [...old.childNodes], news = [...fresh.childNodes];
    const isAlike = olds.length === news.length && olds.every((own, i) => alike(own, news[i]));
    if (!isAlike) {
      const id = focus && old.contains(focus) ? focus.id : "";
      const kept = keptOpen(old);
      old.replaceChildren(...news);
      for (const own of old.querySelectorAll("[data-keep]")) {
        const was = kept.get(/** @type {HTMLElement} */ (own).dataset.keep ?? "");
        if (was) own.toggleAttribute("open", true);
      }
      if (id) document.getElementById(id)?.focus();
      return;
    }
    olds.forEach((own, i) => {
      const next = news[i];
      if (own.nodeType === Node.TEXT_NODE) {
        if (own.textContent !== next.textContent) own.textContent = next.textContent;
      } else if (own instanceof Element && next instanceof Element) {
        mergeElement(own, next, focus);
      }
    });
  };

  /** @param {Element} own @param {Element} next @param {Element | null} focus */
  const mergeElement = (own, next, focus) => {
    const stays = own instanceof HTMLDetailsElement ? ["open"] : [];
    for (const name of own.getAttributeNames()) {
      if (!next.hasAttribute(name) && !stays.includes(name)) own.removeAttribute(name);
    }
    for (const name of next.getAttributeNames()) {
      const value = next.getAttribute(name) ?? "";
      if (own.getAttribute(name) !== value && !stays.includes(name)) own.setAttribute(name, value);
    }
    if (own instanceof HTMLInputElement && next instanceof HTMLInputElement) {
      const isTyped = own === focus || isWaiting(own);
      if (own.type === "checkbox") own.checked = next.checked;
      else if (own.type !== "file" && !isTyped && own.value !== next.value) own.value = next.value;
      return;
    }
    if (own instanceof HTMLTextAreaElement) return;
    if (own instanceof HTMLElement && (own.dataset.hits !== undefined || own.dataset.compared !== undefined
      || own.dataset.actions !== undefined)) return;
    merge(own, next);
    if (own instanceof HTMLSelectElement && next instanceof HTMLSelectElement && own !== focus) {
      own.selectedIndex = next.selectedIndex;
    }
  };

  /** @param {Node} a @param {Node} b */
  const alike = (a, b) => a.nodeType === b.nodeType && a.nodeName === b.nodeName
    && (!(a instanceof Element && b instanceof Element) || a.id === b.id);

  /** @param {Element} place @returns {Map<string, boolean>} */
  const keptOpen = (place) => new Map([...place.querySelectorAll("details[data-keep]")].map((own) =>
    [/** @type {HTMLElement} */ (own).dataset.keep ?? "", own.hasAttribute("open")]));

  /** @param {Told} told */
  const show = (told) => {
    put(byId("head"), told.head);
    put(byId("rail"), told.rail);
    if (told.main) put(byId("form"), told.main);
    put(byId("answer-side"), told.answer);
    byId("effect").textContent = told.effect;
    byId("live").textContent = told.message || told.effect;
    document.title = `${told.title}: plan`;
    document.body.dataset.revision = String(told.revision);
    if (byId("proposals")?.hasAttribute("open")) void showActions();
  };

  // ------------------------------------------------------------ changes

  /** @param {Change[]} changes @param {() => void} [then] */
  const change = (changes, then) => send("/change", { changes }, then);

  /** @type {Map<Element, number>} */
  const waiting = new Map();
  /** @param {Element} own */
  const isWaiting = (own) => waiting.has(own);

  /** What a field says, with its unit where only a number was typed.
   * @param {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} own @returns {unknown} */
  const said = (own) => {
    const text = own.value.trim();
    const unit = own.dataset.unit ? /** @type {HTMLSelectElement | null} */ (document.getElementById(own.dataset.unit)) : null;
    if (unit && /^[+\-−]?[\d.,]+(\s+\d+\/\d+|\/\d+)?$/.test(text)) return `${text} ${unit.value}`;
    return text || null;
  };

  /** @param {HTMLElement} own @returns {Change[]} */
  const changesOf = (own) => {
    if (!(own instanceof HTMLInputElement || own instanceof HTMLSelectElement || own instanceof HTMLTextAreaElement)) return [];
    if (own.dataset.unitOf) {
      const number = /** @type {HTMLInputElement} */ (byId(own.dataset.unitOf));
      return number.value.trim() ? changesOf(number) : [];
    }
    if (own.dataset.newKey) {
      const key = /** @type {HTMLInputElement} */ (byId(own.dataset.keyField ?? "")).value.trim();
      return key && own.value.trim() ? [[[...JSON.parse(own.dataset.newKey), key], own.value.trim()]] : [];
    }
    if (own.dataset.eat !== undefined) {
      const place = JSON.parse(own.dataset.place ?? "[]");
      return own.value.trim() ? [[place, { item: own.dataset.eat, amount: own.value.trim() }]] : [];
    }
    if (!own.dataset.path) return [];
    const path = JSON.parse(own.dataset.path);
    if (own.dataset.among !== undefined && own instanceof HTMLInputElement) {
      const same = [...document.querySelectorAll(`[data-among][data-path='${CSS.escape(own.dataset.path).replaceAll("\\", "\\\\")}']`)];
      const all = same.length ? same : [...document.querySelectorAll("[data-among]")].filter((one) =>
        /** @type {HTMLElement} */ (one).dataset.path === own.dataset.path);
      const chosen = all.filter((one) => /** @type {HTMLInputElement} */ (one).checked)
        .map((one) => /** @type {HTMLElement} */ (one).dataset.among);
      return [[path, chosen.length ? chosen : null]];
    }
    if (own.dataset.tick !== undefined && own instanceof HTMLInputElement) return [[path, own.checked]];
    return [[path, said(own)]];
  };

  /** @param {HTMLElement} own */
  const settle = (own) => {
    clearTimeout(waiting.get(own));
    waiting.delete(own);
    const changes = changesOf(own);
    if (changes.length) change(changes);
  };

  document.addEventListener("input", (event) => {
    const own = /** @type {HTMLElement} */ (event.target);
    if (own.dataset.food !== undefined) search(/** @type {HTMLInputElement} */ (own));
    if (!own.dataset.path || !(own instanceof HTMLInputElement) || own.type === "checkbox") return;
    if (own.dataset.food !== undefined) return;
    clearTimeout(waiting.get(own));
    waiting.set(own, window.setTimeout(() => settle(own), WAIT_MS));
  });

  document.addEventListener("change", (event) => {
    const own = /** @type {HTMLElement} */ (event.target);
    if (own instanceof HTMLInputElement && own.dataset.load !== undefined) {
      const file = own.files?.[0];
      if (file) void load(file.name, file);
      return;
    }
    if (own === picking) return; // what is taken from the list comes instead
    settle(own);
  });

  // ------------------------------------------------------------ foods

  let asking = 0;
  /** The food field whose list is being looked through. @type {HTMLElement | null} */
  let picking = null;
  /** @param {HTMLElement} own */
  const fieldOf = (own) => /** @type {HTMLElement | null} */ (own.closest(".food")?.querySelector("input") ?? null);
  document.addEventListener("pointerdown", (event) => {
    const own = /** @type {HTMLElement} */ (event.target);
    if (own.closest("[data-hits]")) picking = fieldOf(own);
  });
  document.addEventListener("focusout", (event) => {
    const own = /** @type {HTMLElement} */ (event.target), to = /** @type {HTMLElement | null} */ (event.relatedTarget);
    if (!own.closest?.(".food") || !to || own.closest(".food")?.contains(to)) return;
    /** @type {HTMLElement} */ (own.closest(".food")?.querySelector("[data-hits]")).hidden = true;
    const left = picking;
    picking = null;
    if (left) settle(left);
  });
  /** @param {HTMLInputElement} own */
  const search = (own) => {
    clearTimeout(asking);
    asking = window.setTimeout(async () => {
      const hits = /** @type {HTMLElement} */ (own.parentElement?.querySelector("[data-hits]"));
      try {
        const found = await fetch(`/foods?q=${encodeURIComponent(own.value.slice(0, 200))}`);
        hits.innerHTML = found.ok ? await found.text() : "";
        hits.hidden = !own.value.trim();
        tellLost(false);
      } catch {
        tellLost(true);
      }
    }, 150);
  };

  /** @param {HTMLElement} hit */
  const takeFood = (hit) => {
    const own = /** @type {HTMLInputElement} */ (hit.closest(".food")?.querySelector("input"));
    const words = own.value.trim(), value = hit.dataset.take ?? "";
    /** @type {HTMLElement} */ (hit.closest("[data-hits]")).hidden = true;
    picking = null;
    if (own.dataset.quick) {
      quick(own.dataset.quick, words, value);
      own.value = "";
      return;
    }
    own.value = value;
    own.focus();
    change([[JSON.parse(own.dataset.path ?? "[]"), value]]);
  };

  /** A food becomes a dried one, or a bag. @param {string} where @param {string} words @param {string} value */
  const quick = (where, words, value) => {
    const section = where === "dried" ? "batch" : "packed";
    const adds = /** @type {HTMLElement | null} */ (document.querySelector(`[data-add^='${section}.']`));
    const number = Number(adds?.dataset.add?.split(".")[1] ?? 0);
    if (section === "batch") opened = `batch.${number}`;
    change([[[section, number], section === "batch"
      ? { name: words, ingredients: [{ food: value }] }
      : { item: words, food: value }]],
      () => focusFirst(section === "batch" ? `f-batch-${number}-ingredients-0-mass` : `f-packed-${number}-mass`));
  };

  /** @param {string} id */
  const focusFirst = (id) => {
    const own = document.getElementById(id);
    own?.focus();
    own?.scrollIntoView({ block: "center" });
  };

  document.addEventListener("keydown", (event) => {
    const own = /** @type {HTMLElement} */ (event.target);
    const food = own.closest?.(".food");
    if (food) {
      const input = /** @type {HTMLElement} */ (food.querySelector("input"));
      const list = [input, .../** @type {NodeListOf<HTMLElement>} */ (food.querySelectorAll("[data-take]"))];
      const at = list.indexOf(own);
      if (event.key === "ArrowDown" || event.key === "ArrowUp") {
        event.preventDefault();
        picking = input;
        list[Math.max(0, Math.min(list.length - 1, at + (event.key === "ArrowDown" ? 1 : -1)))].focus();
      } else if (event.key === "Escape") {
        /** @type {HTMLElement} */ (food.querySelector("[data-hits]")).hidden = true;
        input.focus();
      } else if (event.key === "Enter" && own === input && own.dataset.quick && list[1]) {
        event.preventDefault();
        takeFood(list[1]);
      }
    }
    const isField = own instanceof HTMLInputElement && own.type === "text" && waiting.has(own);
    if ((event.ctrlKey || event.metaKey) && !isField && ["z", "y"].includes(event.key.toLowerCase())) {
      event.preventDefault();
      send("/back", { do: event.key.toLowerCase() === "y" || event.shiftKey ? "redo" : "undo" });
    }
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "s") {
      event.preventDefault();
      save(false);
    }
    if (event.key === "Enter" && own instanceof HTMLInputElement && own.dataset.path) settle(own);
  });

  // ------------------------------------------------------------ presses

  document.addEventListener("click", (event) => {
    const own = /** @type {HTMLElement | null} */ (/** @type {HTMLElement} */ (event.target).closest("button, a"));
    if (!own) return;
    if (own instanceof HTMLAnchorElement && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
      for (const one of [...waiting.keys()]) settle(/** @type {HTMLElement} */ (one));
      if (queue.length) { // a page that is left would forget what is not sent yet
        event.preventDefault();
        leaving = own;
        return;
      }
    }
    const data = own.dataset;
    if (data.take !== undefined) takeFood(own);
    else if (data.changes !== undefined) {
      if (data.open !== undefined) opened = data.open;
      change(JSON.parse(data.changes));
    } else if (data.add !== undefined) add(data.add, data.inline !== undefined);
    else if (data.back !== undefined) send("/back", { do: data.back });
    else if (data.save !== undefined) save(false);
    else if (data.over !== undefined) save(true);
    else if (data.reread !== undefined) send("/reread", {});
    else if (data.number !== undefined) send("/take", { number: Number(data.number) });
    else if (data.compare !== undefined) void compare(own, data.compare);
    else if (data.spoon !== undefined) spoon(own, JSON.parse(data.spoon));
    else if (data.plan !== undefined) send("/plan", { from: data.plan }, () => {
      if (data.plan === "no draft") byId("draft")?.remove();
      else location.assign("/want");
    });
    else if (data.paste !== undefined) {
      void load("pasted text", new Blob([/** @type {HTMLTextAreaElement} */ (byId("load-text")).value]));
    } else if (data.ownLabel !== undefined) {
      event.preventDefault();
      location.assign(`/bought?new=${encodeURIComponent(data.ownLabel)}`);
    }
  });

  /** @param {string} place @param {boolean} isInline */
  const add = (place, isInline) => {
    const [section, number] = place.split(".");
    if (!isInline) opened = place;
    change([[[section, Number(number)], {}]], () => {
      const first = document.querySelector(`[id^='f-${section}-${number}-']:is(input, select)`);
      if (first) focusFirst(first.id);
    });
  };

  /** @param {HTMLElement} own @param {string} place */
  const compare = async (own, place) => {
    const target = own.closest(".entry")?.querySelector("[data-compared]");
    if (!target) return;
    target.textContent = "Working it out …";
    try {
      target.innerHTML = await (await fetch(`/compare?batch=${place.split(".")[1]}`)).text();
    } catch {
      tellLost(true);
    }
  };

  /** So many spoons weigh so much. @param {HTMLElement} own @param {Array<string | number>} place */
  const spoon = (own, place) => {
    const part = /** @type {HTMLElement} */ (own.closest(".spoon"));
    /** @param {string} name */
    const value = (name) => /** @type {HTMLInputElement} */ (part.querySelector(`[${name}]`)).value.replace(",", ".");
    const count = Number(value("data-spoon-count")), grams = Number(value("data-spoon-mass"));
    const kind = value("data-spoon-kind");
    if (!(count > 0 && grams > 0)) { tell("Say how many, and what they weigh together."); return; }
    const one = grams / count / (kind === "tbsp" ? 3 : 1);
    change([[[...place, kind === "piece" ? "piece" : "tsp"], `${Number(one.toPrecision(3))} g`]]);
  };

  const showActions = async () => {
    const place = document.querySelector("[data-actions]");
    if (!place) return;
    if (!place.textContent) place.textContent = "Looking …";
    try {
      place.innerHTML = await (await fetch("/actions")).text();
    } catch {
      tellLost(true);
    }
  };
  document.addEventListener("toggle", (event) => {
    const own = /** @type {HTMLElement} */ (event.target);
    if (own.id === "proposals" && own.hasAttribute("open")) void showActions();
  }, true);

  // ------------------------------------------------------------ files

  /** @param {boolean} isOver */
  const save = (isOver) => {
    for (const own of [...waiting.keys()]) settle(/** @type {HTMLElement} */ (own));
    send("/save", { over: isOver });
  };

  const askOver = () => {
    const place = byId("message");
    /** @param {string} words @param {string} name */
    const press = (words, name) => {
      const own = document.createElement("button");
      own.type = "button";
      own.className = "quiet";
      own.textContent = words;
      own.dataset[name] = "";
      place.append(" ", own);
    };
    press("Write over it", "over");
    press("Take what the file holds", "reread");
  };

  const download = () => {
    const own = document.createElement("a");
    own.href = byId("head").textContent?.includes(".xlsx") ? "/download/plan.xlsx" : "/download/plan.toml";
    own.download = "";
    own.click();
  };

  /** @param {string} name @param {Blob} content */
  const load = async (name, content) => {
    try {
      const answer = await fetch("/load", {
        method: "POST",
        headers: { "x-plan-token": token, "x-plan-name": encodeURIComponent(name).slice(0, 80) },
        body: content,
      });
      if (answer.ok) location.assign("/want");
      else tell((await answer.json().catch(() => ({ message: "That cannot be read." }))).message);
    } catch {
      tellLost(true);
    }
  };

  // ------------------------------------------------------------ two windows, and coming back

  const channel = typeof BroadcastChannel === "function" ? new BroadcastChannel("plan") : null;
  channel?.addEventListener("message", (event) => {
    if (event.data.kind === "hello") channel.postMessage({ kind: "here" });
    if (event.data.kind === "hello" || event.data.kind === "here") byId("other").hidden = false;
    if (event.data.kind === "bye") byId("other").hidden = true;
    if (event.data.kind === "changed" && event.data.revision !== revision) byId("other").hidden = false;
  });
  channel?.postMessage({ kind: "hello" });
  addEventListener("pagehide", () => {
    channel?.postMessage({ kind: "bye" });
    for (const own of [...waiting.keys()]) {
      const changes = changesOf(/** @type {HTMLElement} */ (own));
      if (changes.length) void fetch("/change", {
        method: "POST", keepalive: true,
        headers: { "content-type": "application/json", "x-plan-token": token },
        body: JSON.stringify({ step, open: opened, revision, changes }),
      });
    }
  });

  const wide = matchMedia("(min-width: 64rem)");
  const fold = () => byId("answer-fold")?.toggleAttribute("open", wide.matches);
  wide.addEventListener("change", fold);
  fold();

  // on a phone the steps are a strip wider than the screen
  document.querySelector("#rail [aria-current]")?.scrollIntoView({ inline: "center", block: "nearest" });

  const wanted = new URLSearchParams(location.search).get("new");
  if (step === "bought" && wanted !== null) {
    history.replaceState(null, "", "/bought");
    const number = document.querySelector("[data-add^='label.']")?.getAttribute("data-add") ?? "label.0";
    opened = number;
    change([[["label", Number(number.split(".")[1])], { name: wanted || "my food" }]]);
  }
})();
