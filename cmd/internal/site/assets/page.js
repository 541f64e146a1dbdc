'use strict';
// What the page can do without scripts it does with forms. This one sends entries
// once the computer answers. It stands on kept.js.

// fault is what is wrong and what to do, as pages show it.
const fault = (problem, hint) => {
  const first = element('p', '');
  first.append(element('strong', problem));
  return hint ? [first, element('p', hint)] : [first];
};

const box = document.getElementById('waiting');
const notice = element('div', '', { class: 'waits' });
const count = element('p', '', { role: 'status' }), list = element('ul', '');
notice.append(count, list);
box.append(notice);
const alerts = new Map(); // what is shown of refused entries, by their keys

// alertOf shows a refused entry, to be changed or dropped.
const alertOf = ({ key, page, form, title, said: words, problem, hint }) => {
  const item = element('div', '', { role: 'alert', class: 'problem', id: 'refused-' + key });
  item.append(element('p', `Not saved: ${title}: ${words}`), ...fault(problem, hint));
  const again = element('a', 'Change it', { href: page + '#' + (form || 'history'), class: 'button' });
  again.addEventListener('click', () => {
    const entry = stored(REFUSED + key);
    if (entry && !entry.back) giveBack(entry, true);
    mark();
  });
  const away = button('Discard it', () => {
    const entry = stored(REFUSED + key);
    if (entry) drop(entry);
    show();
    document.getElementById('main').focus({ preventScroll: true });
  });
  item.append(again, ' ', away);
  return item;
};

// mark tells screen readers which fields hold what was refused, and why.
const mark = () => {
  const refused = all(REFUSED).filter((entry) => entry.back && entry.page === location.pathname);
  for (const input of inputs()) {
    const why = refused.find((entry) => entry.fields.some(([name, value]) => idOf(entry, name) === input.id && value !== '' && value === input.value
      && (entry.field ? name === entry.field : counted.has(name))));
    if (why) {
      input.setAttribute('aria-invalid', 'true');
      input.setAttribute('aria-describedby', 'refused-' + why.key);
    } else if ((input.getAttribute('aria-describedby') || '').startsWith('refused-')) {
      input.removeAttribute('aria-invalid');
      input.removeAttribute('aria-describedby');
    }
  }
};

// show lists what is still on the phone, and why. What is already shown keeps its focus, and
// a screen reader does not repeat it.
let entered = false; // something was, just now: what becomes of it must be seen
const show = (reason) => {
  const waiting = all(WAITING), refused = all(REFUSED);
  notice.hidden = waiting.length === 0 || (!reason && refused.length === 0);
  box.hidden = notice.hidden && refused.length === 0;
  const words = `${waiting.length === 1 ? '1 entry waits' : waiting.length + ' entries wait'} on this phone. ${reason || ''}`;
  if (count.textContent !== words) count.textContent = words;
  const lines = waiting.map((entry) => `${entry.title}: ${entry.said}`);
  if (list.dataset.lines !== JSON.stringify(lines)) {
    list.dataset.lines = JSON.stringify(lines);
    list.replaceChildren(...lines.map((line) => element('li', line)));
  }
  for (const [key, item] of alerts) {
    if (refused.some((entry) => entry.key === key)) continue;
    item.remove();
    alerts.delete(key);
  }
  for (const entry of refused) {
    if (alerts.has(entry.key)) continue;
    alerts.set(entry.key, alertOf(entry));
    box.append(alerts.get(entry.key));
  }
  mark();
  if (entered && !box.hidden) box.scrollIntoView({ block: 'start' });
  if (!box.hidden) entered = false;
};

// showOlder lists what was typed on earlier days, and fills it in only when asked.
const showOlder = () => {
  const typed = document.getElementById('typed');
  if (!typed) return;
  const older = all(OLDER + location.pathname + '/');
  typed.hidden = older.length === 0;
  typed.replaceChildren(...older.map((one) => {
    const item = element('div', '', { class: 'waits' });
    const words = said(Object.entries(one.typed).map(([id, value]) => [id.endsWith('-day') ? 'day' : id, value]));
    item.append(element('p', `Typed on ${one.day}, not saved: ${words}`));
    const fill = button('Fill it in', () => {
      const into = [...inputs()].filter((input) => one.typed[input.id]);
      for (const input of into) {
        input.value = one.typed[input.id];
        unfold(input);
      }
      draft();
      forget(one.name);
      showOlder();
      if (into.length) into[0].focus();
    });
    const away = button('Discard it', () => {
      forget(one.name);
      showOlder();
      document.getElementById('main').focus({ preventScroll: true });
    });
    item.append(fill, ' ', away);
    return item;
  }));
};

// ask sends something and reads the answer, within so many milliseconds. A redirected
// answer has no content.
const ask = async (address, body, most) => {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), most);
  try {
    const answer = await fetch(address, { method: 'POST', body, headers: { Accept: 'application/json' }, signal: stop.signal });
    return { answer, told: answer.redirected ? null : await answer.json() };
  } finally {
    clearTimeout(timer);
  }
};

// post sends an entry with how long it waited here: the clock of a phone may be
// wrong, and runs on all the same.
const post = (entry) => {
  const body = new URLSearchParams(entry.fields);
  body.set('token', document.querySelector('meta[name=token]').content);
  body.set('ago', Math.floor((Date.now() - entry.since) / 1000));
  return ask(entry.to, body, 15000);
};

let sending = false, timer = 0, waits = 0;
const later = (reason) => {
  show(reason);
  clearTimeout(timer);
  timer = setTimeout(send, Math.min(15000, 1000 * 2 ** waits++));
};

// send sends what waits, the oldest first. An entry carries a key of its own, so
// that one whose answer was lost is not kept twice.
const send = async () => {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  let saved = '';
  try {
    for (let entry = all(WAITING)[0]; entry; entry = all(WAITING)[0]) {
      let answer, told;
      const slow = setTimeout(show, 1000, 'Sending …');
      try {
        ({ answer, told } = await post(entry));
      } catch { /* there is no answer */ } finally {
        clearTimeout(slow);
      }
      if (!told) return later('It will be sent when the computer answers.');
      if (answer.ok && told.entry) { // and not of something else that answers there
        forget(WAITING + entry.key);
        if (entry.page === location.pathname) saved = told.entry;
      } else if ([400, 404, 409, 413, 422].includes(answer.status)) {
        if (stored(WAITING + entry.key)) { // else another page that is open has told it
          store(REFUSED + entry.key, { ...entry, problem: told.problem, hint: told.hint, field: told.field });
          forget(WAITING + entry.key);
          giveBack(entry, false);
        }
      } else {
        return later((told.problem || 'Another page answers at this address') + '. ' + (answer.status === 401 ? 'Scan the code on the computer\'s screen; nothing is lost.' : told.hint || ''));
      }
    }
    waits = 0;
    show();
  } finally {
    sending = false;
  }
  if (saved) location.replace(location.pathname + '?saved=' + saved);
};

let scanned = -Infinity; // when a hand scanner typed a code
let tapped = {}; // the button of an entry that was last tapped, and when
document.addEventListener('submit', (event) => {
  const form = event.target;
  if (event.timeStamp - scanned < 500) return event.preventDefault(); // the return key was the scanner's
  if (!form.matches('form[data-entry]')) return;
  if (event.submitter === undefined) return letGo(form); // an old browser does not say which button it was
  const twice = tapped.button === event.submitter && event.timeStamp - tapped.at < 800; // a wet finger
  tapped = { button: event.submitter, at: event.timeStamp };
  if (twice) return event.preventDefault();
  if (['stages', 'left'].includes(form.id) && !(event.submitter && event.submitter.name)) { // the return key does not say what was done
    event.preventDefault();
    form.querySelector('.buttons button').focus();
    return;
  }
  try {
    keep(form, event.submitter);
  } catch {
    return letGo(form); // a phone without room sends the form itself
  }
  event.preventDefault();
  waits = 0;
  entered = true;
  send();
});

// Steps beside the fields for numbers.
for (const field of document.querySelectorAll('.count')) {
  const input = field.querySelector('input');
  const name = field.querySelector('label').firstChild.textContent.trim();
  const step = (by) => {
    const from = input.value === '' ? Number(input.dataset.now) : Number(input.value);
    input.value = Math.max(0, (Number.isFinite(from) ? from : 0) + by);
    input.dispatchEvent(new Event('input', { bubbles: true }));
  };
  input.before(button('−', () => step(-1), { 'aria-label': name + ': one less' }));
  input.after(button('+', () => step(1), { 'aria-label': name + ': one more' }));
  field.classList.add('steps');
}

document.addEventListener('invalid', (event) => unfold(event.target), true); // a browser tells only of what it shows
document.addEventListener('input', () => {
  tapped = {};
  draft();
  mark();
});
window.addEventListener('online', send);
document.addEventListener('visibilitychange', () => { if (!document.hidden) send(); });
restore();
show();
showOlder();
if (document.querySelector('meta[name=token]').content) send();
