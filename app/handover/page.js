"use strict";
(() => {
  const AT_ONCE = 2, STALL_MS = 20000, WAITS_MS = [1000, 2000, 4000, 8000, 15000, 30000];
  const limit = Number(document.body.dataset.limit);
  const find = (id) => document.getElementById(id);
  const photos = [];
  let ended = "";

  // A photo sent twice under one number, because the answer was lost, is kept once.
  const number = () =>
    Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");

  const encoded = (name) => {
    try { return encodeURIComponent(Array.from(name).slice(-80).join("")); } catch { return ""; }
  };

  function tell(photo, state, words) {
    photo.state = state;
    photo.words.textContent = words;
    photo.bar.hidden = state !== "sending" && state !== "waiting";
    const count = (which) => photos.filter((each) => each.state === which).length;
    const arrived = count("arrived"), failed = count("failed") + count("refused");
    const text = arrived === photos.length
      ? (arrived === 1 ? "The photo is on the computer." : `All ${arrived} photos are on the computer.`)
      : `${arrived} of ${photos.length} on the computer${failed ? `, ${failed} not sent` : ""}.`;
    find("summary").textContent = ended || text;
    find("again").hidden = Boolean(ended) || count("failed") === 0;
  }

  function row(file) {
    const line = document.createElement("li"), name = document.createElement("b");
    const bar = document.createElement("progress"), words = document.createElement("span");
    name.textContent = file.name;
    bar.max = 1;
    bar.value = 0;
    bar.setAttribute("aria-label", file.name);
    line.append(name, bar, words);
    find("photos").prepend(line);
    return { file, bar, words, id: number(), tries: 0, state: "waiting", timer: 0 };
  }

  function take(input) {
    for (const file of Array.from(input.files)) {
      const photo = row(file);
      photos.push(photo);
      if (file.size > limit) {
        tell(photo, "refused", `Not sent: larger than ${document.body.dataset.megabytes} MB.`);
      } else {
        tell(photo, "waiting", "Waiting");
      }
    }
    input.value = "";
    next();
  }

  function next() {
    const sending = photos.filter((photo) => photo.state === "sending").length;
    const waiting = photos.filter((photo) => photo.state === "waiting" && !photo.timer);
    if (!ended) waiting.slice(0, Math.max(0, AT_ONCE - sending)).forEach(send);
  }

  function send(photo) {
    const request = new XMLHttpRequest();
    let watch = 0;
    const alive = () => {
      clearTimeout(watch);
      watch = setTimeout(() => request.abort(), STALL_MS);
    };
    request.open("PUT", `/photo/${photo.id}`);
    request.setRequestHeader("X-Photo-Name", encoded(photo.file.name));
    request.upload.onprogress = (event) => {
      alive();
      photo.bar.value = event.lengthComputable ? event.loaded / event.total : 0;
      photo.words.textContent = `Sending, ${Math.floor(photo.bar.value * 100)} %`;
    };
    request.onloadend = () => {
      clearTimeout(watch);
      answered(photo, request);
      next();
    };
    tell(photo, "sending", "Sending");
    alive();
    request.send(photo.file);
  }

  function answered(photo, request) {
    const status = request.status;
    if (status === 200 || status === 201) {
      photo.bar.value = 1;
      tell(photo, "arrived", "On the computer");
    } else if (status === 403) {
      ended = request.responseText;
      tell(photo, "failed", "Not sent");
    } else if (status === 0 || status === 408 || status === 500 || status === 503) {
      wait(photo);
    } else {
      tell(photo, "refused", `Not sent: ${request.responseText}`);
    }
  }

  function wait(photo) {
    if (photo.tries >= WAITS_MS.length) {
      tell(photo, "failed", "Not sent. Is the phone on the same network, and the hand-over still open on the computer?");
      return;
    }
    tell(photo, "waiting", "The connection was lost. Trying again soon.");
    photo.bar.value = 0;
    photo.timer = setTimeout(() => {
      photo.timer = 0;
      next();
    }, WAITS_MS[photo.tries++]);
  }

  // The phone woke up, the network is back, or the painter asks: no waiting.
  function retry() {
    for (const photo of photos) {
      if (photo.timer || photo.state === "failed") {
        clearTimeout(photo.timer);
        Object.assign(photo, { timer: 0, tries: 0 });
        tell(photo, "waiting", "Waiting");
      }
    }
    next();
  }

  for (const id of ["choose", "camera"]) find(id).addEventListener("change", (event) => take(event.target));
  find("again").addEventListener("click", retry);
  addEventListener("online", retry);
  addEventListener("pageshow", retry);
  document.addEventListener("visibilitychange", () => document.hidden || retry());
  addEventListener("beforeunload", (event) => {
    if (!ended && photos.some((photo) => photo.state === "sending" || photo.state === "waiting")) event.preventDefault();
  });
})();
