// Questions to the desk: one edit request in flight, and of those that wait only the latest.
export const tab = Math.random().toString(36).slice(2) + Date.now().toString(36);

export async function get(path) {
  const answer = await fetch(path, { cache: "no-store" });
  if (!answer.ok) throw new Error(String(answer.status));
  return answer.json();
}

export async function post(action, event, body = {}) {
  const path = `do/${action}${event ? `/${encodeURIComponent(event)}` : ""}`;
  const answer = await fetch(path, {
    method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
  });
  if (answer.status === 422) return answer.json();
  if (!answer.ok) throw new Error(String(answer.status));
  return answer.json();
}

// Work that takes longer: asks how far it is until it is done. `onStep` may return false to stop it.
export async function follow(started, event, onStep = () => true) {
  if (started.error) return started;
  for (let wait = 60; ; wait = Math.min(500, wait * 1.4)) {
    await new Promise((done) => setTimeout(done, wait));
    const state = await post("task", event, { task: started.task });
    if (state.error) return state;
    if (state.ended) return state.result;
    if (onStep(state) === false) await post("stop", event, { task: started.task });
  }
}

export function latest(send) {
  let busy = false, waiting = null;
  return async function ask(body) {
    if (busy) { waiting = body; return; }
    busy = true;
    try { await send(body, () => waiting !== null); } finally {
      busy = false;
      if (waiting !== null) { const next = waiting; waiting = null; ask(next); }
    }
  };
}
