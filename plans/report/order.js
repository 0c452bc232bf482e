"use strict";
(() => {
  const home = document.getElementById("order");
  const data = JSON.parse(document.getElementById("order-data").textContent);
  const bytes = (text) => Uint8Array.from(atob(text), (char) => char.charCodeAt(0));
  const points = new Int16Array(bytes(data.points).buffer);
  const cuts = bytes(data.cuts);
  const isCut = (n) => (cuts[n >> 3] >> (7 - (n & 7))) & 1;
  const canvas = home.querySelector("canvas");
  const slider = home.querySelector("input");
  const said = home.querySelector(".at");
  const pen = canvas.getContext("2d");
  const [left, top, width, height] = data.frame;
  const scale = Math.min(1400 / width, 1000 / height);
  canvas.width = Math.round(width * scale);
  canvas.height = Math.round(height * scale);
  let drawn = 0;

  const css = (rgb, by = 1) => `rgb(${rgb.map((part) => Math.round(part * by)).join(",")})`;
  const x = (n) => (points[2 * n] * data.unit - left) * scale;
  const y = (n) => (points[2 * n + 1] * data.unit - top) * scale;

  const stepAt = (n) => {
    let low = 0, high = data.steps.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (data.steps[middle].first <= n) low = middle; else high = middle - 1;
    }
    return low;
  };

  const stroke = (from, to, colour, lineWidth) => {
    pen.beginPath();
    for (let n = from; n < to; n += 1) {
      if (n === from && n > 0 && !isCut(n)) pen.moveTo(x(n - 1), y(n - 1));
      if (isCut(n) || n === 0) pen.moveTo(x(n), y(n)); else pen.lineTo(x(n), y(n));
    }
    pen.strokeStyle = colour;
    pen.lineWidth = lineWidth;
    pen.stroke();
  };

  const clear = () => {
    pen.fillStyle = css(data.cloth);
    pen.fillRect(0, 0, canvas.width, canvas.height);
    drawn = 0;
  };

  const drawTo = (end) => {
    if (end < drawn) clear();
    pen.lineJoin = pen.lineCap = "round";
    const strand = data.strand * scale;
    const batch = 400;
    while (drawn < end) {
      const step = stepAt(drawn);
      const next = step + 1 < data.steps.length ? data.steps[step + 1].first : data.count;
      const stop = Math.min(end, next, drawn + batch);
      const rgb = data.threads[data.steps[step].thread];
      stroke(drawn, stop, css(rgb, 0.72), strand);
      stroke(drawn, stop, css(rgb), strand * 0.62);
      drawn = stop;
    }
  };

  const tell = (n) => {
    const step = stepAt(Math.max(0, n - 1));
    const text = `Step ${step + 1} of ${data.steps.length}: ${data.steps[step].text}`;
    if (said.dataset.step !== String(step)) said.textContent = text;
    said.dataset.step = String(step);
    slider.setAttribute("aria-valuetext", `needle point ${n} of ${data.count}, ${text}`);
  };

  const show = (n) => {
    slider.value = String(n);
    drawTo(n);
    tell(n);
  };

  const go = (by) => {
    const now = Number(slider.value);
    const ends = data.steps.map((step, n) => (n + 1 < data.steps.length ? data.steps[n + 1].first : data.count));
    const target = by > 0 ? ends.find((end) => end > now) : [0, ...ends].filter((end) => end < now).pop();
    if (target !== undefined) show(target);
  };

  slider.max = String(data.count);
  slider.addEventListener("input", () => show(Number(slider.value)));
  slider.addEventListener("keydown", (event) => {
    const by = { PageUp: -1, PageDown: 1 }[event.key];
    if (by) { event.preventDefault(); go(by); }
  });
  for (const button of home.querySelectorAll("button")) button.addEventListener("click", () => go(Number(button.dataset.go)));
  home.hidden = false;
  clear();
  show(data.count);
})();
