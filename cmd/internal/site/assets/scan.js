'use strict';
// Photos of labels and cards, and the keys of a hand scanner. It stands on page.js.

// Photos are made smaller before they are sent, and stay here if they cannot be.
const smaller = async (file) => {
  const most = 3200;
  try {
    const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
    const scale = most / Math.max(picture.width, picture.height);
    if (scale >= 1 && file.type === 'image/jpeg') return file;
    const canvas = document.createElement('canvas');
    canvas.width = Math.round(picture.width * Math.min(1, scale));
    canvas.height = Math.round(picture.height * Math.min(1, scale));
    canvas.getContext('2d').drawImage(picture, 0, 0, canvas.width, canvas.height);
    return await new Promise((done) => canvas.toBlob((blob) => done(blob || file), 'image/jpeg', 0.88));
  } catch {
    return file; // the computer says what is wrong with it
  }
};

for (const form of document.querySelectorAll('form[data-photo]')) {
  const input = form.elements.photo, status = document.getElementById('reading'), unread = document.getElementById('unread');
  let reading = false;
  form.classList.add('script');
  const read = async () => {
    if (reading || !input.files.length) return;
    reading = true;
    status.textContent = 'Reading …';
    unread.hidden = true;
    form.classList.remove('stays');
    try {
      const body = new FormData();
      body.append('photo', await smaller(input.files[0]), 'photo.jpg');
      const { answer, told } = await ask(form.action, body, 90000);
      if (!told) {
        input.value = '';
        return location.assign(answer.url);
      }
      if (answer.status === 503) { // it is busy
        status.textContent = told.problem + '. The photo is kept and will be read when there is room.';
        setTimeout(read, 2000);
        return;
      }
      if ([404, 413, 415, 422].includes(answer.status)) input.value = ''; // the photo is no good; the same one can be chosen again
      else form.classList.add('stays');
      status.textContent = '';
      unread.replaceChildren(...fault(told.problem, told.hint));
      unread.hidden = false;
    } catch {
      status.textContent = 'The computer does not answer. The photo is kept until it does.';
      setTimeout(read, 2000);
    } finally {
      reading = false;
    }
  };
  input.addEventListener('change', read);
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    read();
  });
}

// A hand scanner types a code and the return key, wherever the page is. In a
// field it is told from a person by its speed, and the field is left as it was.
const LENGTH = 14, SPAN = 1500; // digits of a code, and milliseconds that a scanner takes at most
let keys = [];
document.addEventListener('keydown', (event) => {
  const field = event.target.matches('input') ? event.target : null;
  if (/^[0-9]$/.test(event.key)) {
    keys = [...keys, { digit: event.key, at: event.timeStamp, field, value: field && field.value }].slice(-LENGTH);
    return;
  }
  if (event.key === 'Enter' && keys.length === LENGTH && (!field || event.timeStamp - keys[0].at < SPAN)) {
    event.preventDefault();
    scanned = event.timeStamp;
    if (keys[0].field) keys[0].field.value = keys[0].value;
    draft();
    location.assign('/' + keys.map((key) => key.digit).join(''));
  }
  if (event.key === 'Enter' || (event.key.length === 1 && event.key !== '-')) keys = [];
});
