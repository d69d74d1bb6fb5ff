// Tones that differ in pitch, length and number, so that they are told apart in a
// noisy shop: a reading was taken, it was not, or something else was done.
const tones = {
  taken: [[880, 0, 0.12]],
  refused: [[220, 0, 0.18], [220, 0.26, 0.18]],
  done: [[587, 0, 0.06], [784, 0.08, 0.06]],
};

const key = "sound"; // where the device remembers whether there is sound
let context = null;
let first = null; // what the touch fell on that let sound through

const wanted = () => localStorage.getItem(key) !== "off";

// A browser gives sound only after a touch or a key.
export async function allowTones(event) {
  first ??= event.target;
  context ??= new AudioContext();
  await context.resume();
  showSound();
}
for (const kind of ["pointerdown", "keydown"]) document.addEventListener(kind, allowTones, { once: true });

// showSound says on the switch whether there is sound.
function showSound() {
  const button = document.getElementById("sound");
  if (!button) return;
  button.hidden = false;
  const { textOn, textOff, textWaits } = button.dataset;
  button.textContent = !wanted() ? textOff : context?.state === "running" ? textOn : textWaits;
}

export function switchSound() {
  document.getElementById("sound")?.addEventListener("click", (event) => {
    // The touch that first lets sound through does not switch it off.
    if (!wanted() || first !== event.target) localStorage.setItem(key, wanted() ? "off" : "on");
    first = document.body;
    showSound();
    if (wanted()) playTone("done");
  });
  showSound();
}

export function playTone(name) {
  document.body.dataset.tone = name; // for whoever cannot hear it: the style shows it
  setTimeout(() => delete document.body.dataset.tone, 600);
  if (!wanted() || !context || context.state !== "running") return;
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
