// Two tones that differ in pitch, length and number, so that they are told apart
// in a noisy shop: a reading was taken, or it was not.
const tones = {
  taken: [[880, 0, 0.12]],
  refused: [[220, 0, 0.18], [220, 0.26, 0.18]],
};

let context = null;

// A browser gives sound only after a touch or a key.
export function allowTones() {
  context ??= new AudioContext();
  context.resume();
}
for (const kind of ["pointerdown", "keydown"]) document.addEventListener(kind, allowTones, { once: true });

export function playTone(name) {
  document.body.dataset.tone = name; // for whoever cannot hear it: the style shows it
  setTimeout(() => delete document.body.dataset.tone, 600);
  if (!context || context.state !== "running") return;
  for (const [pitch, start, length] of tones[name] ?? []) {
    const oscillator = context.createOscillator();
    const volume = context.createGain();
    oscillator.frequency.value = pitch;
    volume.gain.value = 0.4;
    oscillator.connect(volume).connect(context.destination);
    oscillator.start(context.currentTime + start);
    oscillator.stop(context.currentTime + start + length);
  }
}
