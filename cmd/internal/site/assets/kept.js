'use strict';
// What a phone keeps: entries until the computer has them, and what is typed. Each has its
// own item, so that two open pages never lose each other's.

const WAITING = 'slips.waiting.'; // and the key of an entry on its way
const REFUSED = 'slips.refused.'; // and the key of one that the computer did not take
const DRAFT = 'slips.draft.';     // and a path: what was typed there and not yet kept
const OLDER = 'slips.older.';     // and a path and a number: the same, of an earlier day

const stored = (name) => {
  try { return JSON.parse(localStorage.getItem(name)); } catch { return null; }
};
const store = (name, what) => localStorage.setItem(name, JSON.stringify(what));
const forget = (name) => {
  try { localStorage.removeItem(name); } catch { /* a phone that keeps nothing has nothing to forget */ }
};

// all are the items whose names begin alike, the oldest first.
const all = (prefix) => {
  try {
    return Object.keys(localStorage).filter((name) => name.startsWith(prefix)).map(stored).filter(Boolean)
      .sort((a, b) => a.turn - b.turn || (a.key < b.key ? -1 : 1));
  } catch { return []; }
};

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

const button = (text, run, attributes) => {
  const made = element('button', text, { type: 'button', ...attributes });
  made.addEventListener('click', run);
  return made;
};

const newKey = () => [...crypto.getRandomValues(new Uint8Array(16))].map((b) => b.toString(16).padStart(2, '0')).join('');

const today = document.documentElement.dataset.today; // at the computer
const counted = new Set(['alive', 'growing', 'rooted', 'dead', 'number']); // fields for numbers
const fields = new Set([...counted, 'note', 'day']); // that are typed
const idOf = (entry, name) => (name === 'day' ? entry.form + '-day' : name); // of a field
const typedIn = (entry) => entry.fields.filter(([name, value]) => fields.has(name) && value !== '').map(([name, value]) => [idOf(entry, name), value]);
const inputs = () => document.querySelectorAll('form[data-entry] input[id]');

const hidden = new Set(['token', 'key']);
const said = (sent) => sent.filter(([name, value]) => !hidden.has(name) && value !== '')
  .map(([name, value]) => (name === 'corrects' ? 'undo entry ' + value : name === 'note' ? value : name === 'day' ? 'on ' + value
    : ['state', 'move', 'left'].includes(name) ? value.replaceAll('-', ' ') : value + ' ' + (name === 'number' ? 'plants' : name))).join(', ');

// keep takes an entry of a form, before anything is sent.
const keep = (form, button) => {
  const sent = [...new FormData(form)];
  if (button && button.name) sent.push([button.name, button.value]);
  const key = form.elements.key.value;
  const entry = {
    key, turn: 1 + Math.max(0, ...all(WAITING).map((other) => other.turn)), since: Date.now(),
    to: new URL(form.action).pathname, page: location.pathname, form: form.id, title: document.querySelector('h1').textContent + ', ' + document.getElementById('unit').textContent,
    fields: sent, said: said(sent),
  };
  store(WAITING + key, entry);
  for (const old of all(REFUSED)) {
    if (old.back && old.page === entry.page && old.form === entry.form) forget(REFUSED + old.key); // this takes its place
  }
  form.reset();
  for (const input of form.querySelectorAll('input:not([type=hidden])')) input.value = '';
  for (const details of form.querySelectorAll('details')) details.open = false;
  form.elements.key.value = newKey();
  draft();
};

// draft remembers what is typed, so that it outlives the page.
const draft = () => {
  const typed = {};
  for (const input of inputs()) {
    if (input.value !== '') typed[input.id] = input.value;
  }
  try {
    if (Object.keys(typed).length) store(DRAFT + location.pathname, { day: today, typed });
    else forget(DRAFT + location.pathname);
  } catch { /* a phone without room keeps what is on the page */ }
};

const drafted = (path) => (stored(DRAFT + path) || {}).typed || {};

// letGo records that a form sends itself, with what is typed there.
const letGo = (form) => {
  const kept = stored(DRAFT + location.pathname);
  try {
    if (kept) store(DRAFT + location.pathname, { ...kept, sent: form.id });
  } catch { /* then it stands there once more */ }
};

// age sets aside what was typed on an earlier day, so that nobody takes it for today's.
const age = (path) => {
  const kept = stored(DRAFT + path);
  if (!kept || kept.day === today) return;
  const name = OLDER + path + '/' + newKey();
  try {
    const back = all(REFUSED).find((entry) => entry.back && entry.page === path);
    if (back) store(REFUSED + back.key, { ...back, back: false });
    const told = back && said(typedIn(back)) === said(Object.entries(kept.typed)); // where it was refused
    if (!told) store(name, { ...kept, name, turn: 0, key: kept.day });
    forget(DRAFT + path);
  } catch { /* a phone without room has it still, for another time */ }
};

// unfold shows a field that holds something.
const unfold = (input) => {
  const details = input.closest('details');
  if (details && input.value !== '') details.open = true;
};

// restore types again what was typed today.
const restore = () => {
  age(location.pathname);
  const kept = stored(DRAFT + location.pathname) || {}, typed = kept.day === today ? kept.typed : {};
  const came = kept.sent && document.querySelector('.saved'); // what a form sent by itself
  for (const input of inputs()) {
    if (input.value === '' && typed[input.id] && !(came && input.form.id === kept.sent)) input.value = typed[input.id];
    unfold(input);
  }
  if (came) draft();
};

// giveBack puts what was typed for a refused entry into its form again, to be
// mended there: if something else stands there, only when it is asked for.
const giveBack = (entry, asked) => {
  age(entry.page);
  const typed = typedIn(entry);
  if (!typed.length || (!asked && Object.keys(drafted(entry.page)).length)) return;
  store(DRAFT + entry.page, { day: today, typed: Object.fromEntries(typed) });
  for (const old of all(REFUSED)) {
    if (old.page === entry.page) store(REFUSED + old.key, { ...old, back: old.key === entry.key });
  }
  if (entry.page !== location.pathname) return;
  for (const input of inputs()) input.value = '';
  restore();
};

// drop forgets a refused entry, and what of it stands in its form.
const drop = (entry) => {
  forget(REFUSED + entry.key);
  if (!entry.back) return;
  if (entry.page !== location.pathname) return forget(DRAFT + entry.page);
  for (const [id, value] of typedIn(entry)) {
    const input = document.getElementById(id);
    if (input && input.value === value) input.value = '';
  }
  draft();
};
