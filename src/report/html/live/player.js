/* What plays a replay of `lasts` seconds: `at` tells where it is, or null; `to` takes it there. Begun where it is at its end, it begins anew at
   `begin`. Comes back as what stops it. */
const player = (play, speed, lasts, begin, at, to) => {
  let playing = null;
  const stop = () => {
    playing = null;
    play.textContent = 'Play';
    play.setAttribute('aria-pressed', 'false');
  };
  const start = () => {
    if (at() === null || at() >= lasts) to(begin);
    play.textContent = 'Pause';
    play.setAttribute('aria-pressed', 'true');
    let before = null;
    const mine = {};
    playing = mine;
    const frame = (now) => {
      if (playing !== mine) return;
      if (before !== null) to(at() + ((now - before) / 1000) * Number(speed.value));
      before = now;
      if (at() >= lasts) stop();
      else requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  };
  play.addEventListener('click', () => (playing ? stop() : start()));
  return stop;
};
