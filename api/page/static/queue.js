// What was said on this device and has not arrived yet. It lies in localStorage until the service
// has answered for it, each with an id made here, so that sending it twice does no harm.
"use strict";

const Queue = {
  name(job) { return "cutopt said " + job; },

  all(job) {
    try { return JSON.parse(localStorage.getItem(this.name(job)) || "[]"); } catch { return []; }
  },

  add(job, said) {
    const entry = { id: newId(), at: new Date().toISOString(), said };
    localStorage.setItem(this.name(job), JSON.stringify([...this.all(job), entry]));
    return entry;
  },

  drop(job, ids) {
    const rest = this.all(job).filter((entry) => !ids.includes(entry.id));
    localStorage.setItem(this.name(job), JSON.stringify(rest));
  },

  // Sends all that waits; returns the answer, or what went wrong as a word.
  async send(job, by, most = 500) {
    const entries = this.all(job).slice(0, most);
    let answer;
    try {
      answer = await fetch(`/jobs/${job}/said?by=${by}`, {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ entries }),
        signal: AbortSignal.timeout(60000),
      });
    } catch { return { wrong: "no connection" }; }
    if (answer.status === 401) return { wrong: "signed out" };
    if (!answer.ok) {
      const problem = await answer.json().catch(() => ({}));
      if (answer.status === 422) {
        // One of them is none at all; it may not keep the others from arriving.
        if (entries.length > 1) return this.send(job, by, 1);
        this.drop(job, entries.map((entry) => entry.id));
        return { wrong: "", none: problem.detail || answer.statusText };
      }
      return { wrong: answer.status >= 500 ? "no connection" : problem.detail || answer.statusText };
    }
    const told = await answer.json().catch(() => null);
    if (told === null) return { wrong: "no connection" };
    this.drop(job, entries.map((entry) => entry.id));
    return told;
  },
};

function newId() {
  // crypto.randomUUID is there on secure addresses only; a phone may come by plain http.
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function element(name, text, attributes) {
  const made = document.createElement(name);
  if (text) made.textContent = text;
  for (const [key, value] of Object.entries(attributes || {})) made.setAttribute(key, value);
  return made;
}

function waits(job) {
  const count = Queue.all(job).length;
  return count === 1 ? "1 mark waits" : `${count} marks wait`;
}
