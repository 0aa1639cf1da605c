// Follows the search for a plan, and shows the plan once it is there.
"use strict";

const search = document.getElementById("search");
if (search) {
  const events = new EventSource(`/v1/plans/${search.dataset.run}/events`);
  events.addEventListener("run", (event) => {
    const run = JSON.parse(event.data);
    const progress = run.progress;
    if (progress) {
      document.getElementById("tiles").textContent = progress.tiles ?? "…";
      document.getElementById("bound").textContent = progress.bound;
      document.getElementById("step").textContent = `${progress.tile}: ${progress.step}, ${Math.round(progress.seconds)} s`;
    }
    if (["done", "failed", "cancelled"].includes(run.state)) {
      events.close();
      location.reload();
    }
  });
}
