// What do hands do to the drawing? Drag, wheel, pinch, tap, hover.
const STILL = 5; // pixels; less is a tap
const WHEEL = 0.0018; // how much of a doubling a wheel's pixel zooms

function setUpGestures(stage, act) {
  const down = new Map();
  let travelled = 0;
  const place = (event) => {
    const box = stage.getBoundingClientRect();
    return [event.clientX - box.left - stage.clientLeft, event.clientY - box.top - stage.clientTop];
  };
  const spread = () => {
    const [one, other] = [...down.values()];
    return { size: Math.hypot(one[0] - other[0], one[1] - other[1]) || 1, x: (one[0] + other[0]) / 2, y: (one[1] + other[1]) / 2 };
  };
  stage.addEventListener('pointerdown', (event) => {
    if (event.button > 0) return;
    stage.setPointerCapture(event.pointerId);
    if (!down.size) travelled = 0;
    down.set(event.pointerId, place(event));
    act.leave();
  });
  stage.addEventListener('pointermove', (event) => {
    const at = place(event);
    const before = down.get(event.pointerId);
    if (!before) { act.over(at, event.pointerType === 'mouse'); return; }
    if (down.size === 1) {
      travelled += Math.hypot(at[0] - before[0], at[1] - before[1]);
      down.set(event.pointerId, at);
      if (travelled > STILL) { act.drag(at[0] - before[0], at[1] - before[1]); stage.classList.add('held'); }
      return;
    }
    const was = spread();
    down.set(event.pointerId, at);
    const is = spread();
    travelled = Infinity;
    act.pinch(is.size / was.size, is.x, is.y, is.x - was.x, is.y - was.y);
  });
  const up = (event) => {
    if (!down.delete(event.pointerId)) return;
    stage.classList.remove('held');
    if (event.type === 'pointerup' && !down.size && travelled <= STILL) act.tap(place(event));
  };
  stage.addEventListener('pointerup', up);
  stage.addEventListener('pointercancel', up);
  stage.addEventListener('pointerleave', () => act.leave());
  stage.addEventListener('dblclick', (event) => act.zoom(2, ...place(event)));
  stage.addEventListener('wheel', (event) => {
    event.preventDefault();
    const pixels = event.deltaY * [1, 18, 400][event.deltaMode];
    act.zoom(2 ** (-Math.max(-300, Math.min(300, pixels)) * WHEEL * (event.ctrlKey ? 4 : 1.4)), ...place(event));
  }, { passive: false });
}
