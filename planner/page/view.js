// Where does the drawing stand on the screen? Scale in pixels to the inch, and the place of the sheet's upper left corner.
const CLOSEST = 1600; // pixels to the inch

class View {
  constructor(width, height) {
    this.width = width;
    this.height = height;
    this.scale = 1;
    this.x = 0;
    this.y = 0;
    this.mirrored = false;
    this.fitted = true;
  }

  copy() {
    return Object.assign(new View(this.width, this.height), this);
  }

  // From the flat's frame (inches, y up) to pixels.
  get matrix() {
    const { scale } = this;
    return this.mirrored ? [-scale, 0, 0, -scale, this.x + scale * this.width, this.y + scale * this.height]
      : [scale, 0, 0, -scale, this.x, this.y + scale * this.height];
  }

  toScreen(across, up) {
    const [a, , , d, e, f] = this.matrix;
    return [a * across + e, d * up + f];
  }

  toFlat(x, y) {
    const [a, , , d, e, f] = this.matrix;
    return [(x - e) / a, (y - f) / d];
  }

  // Left, top, width and height on the screen of a box of the flat.
  boxOnScreen([left, bottom, width, height]) {
    const [x, y] = this.toScreen(this.mirrored ? left + width : left, bottom + height);
    return [x, y, width * this.scale, height * this.scale];
  }

  fit(stage, box = [0, 0, this.width, this.height], margin = 18) {
    const [left, bottom, width, height] = box;
    const room = (side, size) => (side - 2 * Math.min(margin, side / 4)) / Math.max(size, 0.02);
    this.scale = Math.min(room(stage.width, width), room(stage.height, height), CLOSEST);
    const across = this.mirrored ? this.width - left - width : left;
    this.x = Math.round(stage.width / 2 - this.scale * (across + width / 2));
    this.y = Math.round(stage.height / 2 - this.scale * (this.height - bottom - height / 2));
  }

  zoom(factor, x, y, stage) {
    const least = 0.4 * Math.min(stage.width / this.width, stage.height / this.height);
    const scale = Math.min(CLOSEST, Math.max(least, this.scale * factor));
    this.x = x - (x - this.x) * scale / this.scale;
    this.y = y - (y - this.y) * scale / this.scale;
    this.scale = scale;
    this.move(0, 0, stage);
  }

  // A handful of the sheet stays in sight, wherever it is dragged.
  move(across, down, stage) {
    const keep = 60;
    const within = (at, size, room) => Math.round(Math.min(room - keep, Math.max(keep - size, at)));
    this.x = within(this.x + across, this.width * this.scale, stage.width);
    this.y = within(this.y + down, this.height * this.scale, stage.height);
    this.fitted = false;
  }

  // Turned over in place: what is in the middle of the stage stays there.
  turnOver(stage) {
    const [across, up] = this.toFlat(stage.width / 2, stage.height / 2);
    this.mirrored = !this.mirrored;
    const [x, y] = this.toScreen(across, up);
    this.x = Math.round(this.x + stage.width / 2 - x);
    this.y = Math.round(this.y + stage.height / 2 - y);
  }
}
