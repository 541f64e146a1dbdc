'use strict';
// What the page can do without scripts it does with forms. This one keeps entries
// on the phone until the computer has them.

const WAITING = 'slips.waiting'; // entries on their way
const REFUSED = 'slips.refused'; // entries that the computer did not take
const DRAFT = 'slips.draft.';    // and a path: what was typed and not yet kept

const stored = (name) => {
  try { return JSON.parse(localStorage.getItem(name)) || []; } catch { return []; }
};
const store = (name, list) => localStorage.setItem(name, JSON.stringify(list));
const without = (name, key) => store(name, stored(name).filter((entry) => entry.key !== key));

const element = (tag, text, attributes = {}) => {
  const made = document.createElement(tag);
  made.append(...text.split(/(\d{4}-\d{2}-\d{2})/).map((part, n) => { // phones break lines at hyphens
    if (n % 2 === 0) return part;
    const date = document.createElement('span');
    date.className = 'date';
    date.textContent = part;
    return date;
  }));
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
};

// fault is what is wrong and what to do, as pages show it.
const fault = (problem, hint) => {
  const first = element('p', '');
  first.append(element('strong', problem));
  return hint ? [first, element('p', hint)] : [first];
};

// now is the time of the phone with its zone, as in RFC 3339.
const now = () => {
  const time = new Date();
  const offset = -time.getTimezoneOffset();
  const two = (n) => String(Math.floor(Math.abs(n))).padStart(2, '0');
  return new Date(time.getTime() + offset * 60000).toISOString().slice(0, 19) +
    (offset < 0 ? '-' : '+') + two(offset / 60) + ':' + two(offset % 60);
};

const newKey = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, '0')).join('');

const hidden = new Set(['token', 'key', 'at']);
const fields = new Set(['alive', 'growing', 'rooted', 'dead', 'number', 'note', 'day']); // that are typed
const idOf = (entry, name) => (name === 'day' ? entry.form + '-day' : name); // of a field
const said = (sent) => sent.filter(([name, value]) => !hidden.has(name) && value !== '')
  .map(([name, value]) => (name === 'corrects' ? 'withdraw entry ' + value : name === 'note' ? value : name === 'day' ? 'on ' + value
    : ['state', 'move', 'left'].includes(name) ? value.replaceAll('-', ' ') : value + ' ' + (name === 'number' ? 'plants' : name))).join(', ');

// keep takes an entry of a form, before anything is sent.
const keep = (form, button) => {
  const sent = [...new FormData(form)];
  if (button && button.name) sent.push([button.name, button.value]);
  const key = form.elements.key.value;
  const entry = {
    key, to: new URL(form.action).pathname, page: location.pathname, form: form.id, title: document.querySelector('h1').textContent + ', ' + document.getElementById('unit').textContent,
    fields: sent.map(([name, value]) => [name, name === 'at' ? now() : value]), said: said(sent),
  };
  store(WAITING, [...stored(WAITING), entry]);
  store(REFUSED, stored(REFUSED).filter((old) => !(old.back && old.page === entry.page && old.form === entry.form))); // this takes its place
  form.reset();
  for (const input of form.querySelectorAll('input:not([type=hidden])')) input.value = '';
  for (const details of form.querySelectorAll('details')) details.open = false;
  form.elements.key.value = newKey();
  draft();
};

// draft remembers what is typed, so that it outlives the page.
const draft = () => {
  const typed = {};
  for (const input of document.querySelectorAll('form[data-entry] input[id]')) {
    if (input.value !== '') typed[input.id] = input.value;
  }
  try {
    if (Object.keys(typed).length) localStorage.setItem(DRAFT + location.pathname, JSON.stringify(typed));
    else localStorage.removeItem(DRAFT + location.pathname);
  } catch { /* a phone without room keeps what is on the page */ }
};

const drafted = (path) => {
  try { return JSON.parse(localStorage.getItem(DRAFT + path)) || {}; } catch { return {}; }
};

// unfold shows a field that holds something.
const unfold = (input) => {
  const details = input.closest('details');
  if (details && input.value !== '') details.open = true;
};

const restore = () => {
  const typed = drafted(location.pathname);
  for (const input of document.querySelectorAll('form[data-entry] input[id]')) {
    if (input.value === '' && typed[input.id]) input.value = typed[input.id];
    unfold(input);
  }
};

// giveBack puts what was typed for a refused entry into its form again, to be
// mended there: if something else stands there, only when it is asked for.
const giveBack = (entry, asked) => {
  const typed = entry.fields.filter(([name, value]) => fields.has(name) && value !== '').map(([name, value]) => [idOf(entry, name), value]);
  if (!typed.length || (!asked && Object.keys(drafted(entry.page)).length)) return;
  localStorage.setItem(DRAFT + entry.page, JSON.stringify(Object.fromEntries(typed)));
  store(REFUSED, stored(REFUSED).map((old) => (old.page === entry.page ? { ...old, back: old.key === entry.key } : old)));
  if (entry.page !== location.pathname) return;
  for (const input of document.querySelectorAll('form[data-entry] input[id]')) input.value = '';
  restore();
};

// drop forgets a refused entry, and what of it stands in its form.
const drop = (entry) => {
  without(REFUSED, entry.key);
  show();
  if (!entry.back) return;
  if (entry.page !== location.pathname) return localStorage.removeItem(DRAFT + entry.page);
  for (const [name, value] of entry.fields) {
    const input = fields.has(name) && document.getElementById(idOf(entry, name));
    if (input && input.value === value) input.value = '';
  }
  draft();
};

const box = document.getElementById('waiting');

// show tells what is still on the phone, and why.
let entered = false; // something was, just now: what becomes of it must be seen
const show = (reason) => {
  const waiting = stored(WAITING), refused = stored(REFUSED);
  box.replaceChildren();
  box.hidden = waiting.length + refused.length === 0 || (!reason && refused.length === 0);
  if (box.hidden) return;
  if (waiting.length) {
    const notice = element('div', '', { class: 'waits' });
    notice.append(element('p', `${waiting.length === 1 ? '1 entry waits' : waiting.length + ' entries wait'} on this phone. ${reason || ''}`, { role: 'status' }));
    const list = element('ul', '');
    for (const entry of waiting) list.append(element('li', `${entry.title}: ${entry.said}`));
    notice.append(list);
    box.append(notice);
  }
  for (const entry of refused) {
    const item = element('div', '', { role: 'alert', class: 'problem' });
    item.append(element('p', `Not taken: ${entry.title}: ${entry.said}`), ...fault(entry.problem, entry.hint));
    const again = element('a', 'Change it', { href: entry.page + '#' + (entry.form || 'history'), class: 'button' });
    again.addEventListener('click', () => { if (!entry.back) giveBack(entry, true); });
    const away = element('button', 'Drop it', { type: 'button' });
    away.addEventListener('click', () => drop(entry));
    item.append(again, ' ', away);
    box.append(item);
  }
  if (entered) box.scrollIntoView({ block: 'start' });
  entered = false;
};

const post = (entry) => {
  const body = new URLSearchParams(entry.fields);
  body.set('token', document.querySelector('meta[name=token]').content);
  return fetch(entry.to, { method: 'POST', body, headers: { Accept: 'application/json' }, signal: AbortSignal.timeout(15000) });
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
    for (let waiting = stored(WAITING); waiting.length; waiting = stored(WAITING)) {
      const entry = waiting[0];
      let answer, told;
      const slow = setTimeout(show, 1000, 'Being sent …');
      try {
        answer = await post(entry);
        told = await answer.json();
      } catch {
        return later('Sent as soon as the computer answers.');
      } finally {
        clearTimeout(slow);
      }
      if (answer.ok && told.entry) { // and not of something else that answers there
        without(WAITING, entry.key);
        if (entry.page === location.pathname) saved = told.entry;
      } else if ([400, 404, 409, 413, 422].includes(answer.status)) {
        store(REFUSED, [...stored(REFUSED), { ...entry, problem: told.problem, hint: told.hint }]);
        without(WAITING, entry.key);
        giveBack(entry, false);
      } else {
        return later(told.problem + '. ' + (answer.status === 401 ? 'Scan the code at the computer; nothing is lost.' : told.hint || ''));
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
    return; // a phone without room sends the form itself
  }
  event.preventDefault();
  waits = 0;
  entered = true;
  send();
});

// Steps beside the fields for numbers.
for (const count of document.querySelectorAll('.count')) {
  const input = count.querySelector('input');
  const name = count.querySelector('label').firstChild.textContent.trim();
  const step = (by) => {
    const from = input.value === '' ? Number(input.dataset.now) : Number(input.value);
    input.value = Math.max(0, (Number.isFinite(from) ? from : 0) + by);
    input.dispatchEvent(new Event('input', { bubbles: true }));
  };
  const less = element('button', '−', { type: 'button', 'aria-label': name + ': one less' });
  const more = element('button', '+', { type: 'button', 'aria-label': name + ': one more' });
  less.addEventListener('click', () => step(-1));
  more.addEventListener('click', () => step(1));
  input.before(less);
  input.after(more);
  count.classList.add('steps');
}

document.addEventListener('invalid', (event) => unfold(event.target), true); // a browser tells only of what it shows
document.addEventListener('input', () => { tapped = {}; draft(); });
window.addEventListener('online', send);
document.addEventListener('visibilitychange', () => { if (!document.hidden) send(); });
restore();
show();
if (document.querySelector('meta[name=token]').content) send();
