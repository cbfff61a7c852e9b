// The course panel: what it shows is what the server told, and every button is a command.

const SIGNS = { begun: '◐', done: '●', handed: '➜', marked: '✓', none: '○' };
const STATES = {
  running: 'running',
  stopping: 'stopping …',
  good: 'done',
  'not good': 'look at this',
  stopped: 'stopped',
  'cut short': 'cut short'
};

function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith('on')) {
      node.addEventListener(name.slice(2), value);
    } else if (value !== '' && value !== null && value !== undefined) {
      node.setAttribute(name, value);
    }
  }
  node.append(...children.filter(child => child !== null && child !== ''));
  return node;
}

export class Panel {
  constructor(node, { course, run }) {
    this._course = course;
    this._run = run;
    this._shown = '';
    this._pupils = '12';
    this._said = make('div', { role: 'status', class: 'trimkit-said' });
    this._body = make('div', { class: 'trimkit-body' }, make('p', {}, 'Looking …'));
    node.setAttribute('role', 'region');
    node.setAttribute('aria-label', 'Course');
    node.append(this._said, this._body);
  }

  /** Say something where a screen reader hears it. */
  say(words) {
    this._said.textContent = '';
    requestAnimationFrame(() => (this._said.textContent = words));
  }

  /** Put the keyboard's focus on the first control, unless it is in the panel already. */
  focus() {
    const first = this._body.querySelector('button, a');
    if (first && !this._body.contains(document.activeElement)) {
      first.focus();
    }
  }

  show(told) {
    const text = JSON.stringify(told);
    if (text === this._shown) {
      return;
    }
    this._announce(told);
    this._shown = text;
    const inside = this._body.contains(document.activeElement);
    const held = inside ? document.activeElement.getAttribute('data-key') : null;
    const parts = { coach: this._coach, pupil: this._pupil }[told.role] || (() => []);
    this._body.replaceChildren(
      make('h2', {}, this._title(told)),
      ...(told.notes || []).map(note => make('p', { class: 'trimkit-note' }, note)),
      ...parts.call(this, told)
    );
    const again = held && this._body.querySelector(`[data-key="${CSS.escape(held)}"]`);
    if (again) {
      again.focus({ preventScroll: true });
    }
  }

  _announce(told) {
    const before = this._shown ? JSON.parse(this._shown).run : null;
    const now = told.run;
    if (before && now && before.state !== now.state) {
      this.say(`${now.title}: ${STATES[now.state]}.`);
    }
  }

  _title(told) {
    if (told.role === 'coach') {
      return 'Course, for the coach';
    }
    return told.pupil ? `Course, pupil ${told.pupil}` : 'Course, visitor';
  }

  _button(words, key, command, args = {}, about = '') {
    return make(
      'button',
      {
        type: 'button',
        class: 'trimkit-button',
        'data-key': key,
        'aria-label': about ? `${words}: ${about}` : '',
        onclick: () => this._run(command, args)
      },
      words
    );
  }

  _link(words, key, name, about) {
    return make(
      'a',
      {
        href: this._course.address(name),
        target: '_blank',
        rel: 'noopener',
        'data-key': key,
        'aria-label': `${words}: ${about}, opens a new tab`
      },
      words
    );
  }

  _pupil(told) {
    return [
      told.writable
        ? null
        : make(
            'p',
            { class: 'trimkit-note' },
            'This folder cannot be written: nothing that you do here is kept. Tell your coach.'
          ),
      make(
        'section',
        { class: 'trimkit-next', 'aria-label': 'Next' },
        make('p', {}, told.next.words),
        told.next.notebook
          ? this._button(told.next.hand_in ? 'Hand in' : 'Go on', 'next', 'trimkit:next')
          : null
      ),
      make('h3', {}, 'Lessons'),
      make('ol', { class: 'trimkit-lessons' }, ...told.lessons.map(one => this._lesson(one))),
      ...this._cases(told.cases),
      told.glossary
        ? make('p', {}, this._button('All the words', 'words', 'trimkit:words'))
        : null
    ].filter(Boolean);
  }

  _lesson(one) {
    const kind = one.feedback
      ? 'marked'
      : one.handed
        ? 'handed'
        : one.state === 'not begun'
        ? 'none'
        : one.done === one.of
          ? 'done'
          : 'begun';
    const minutes = one.minutes ? `${one.minutes} minutes` : '';
    return make(
      'li',
      { 'data-lesson': one.id },
      make('span', { class: 'trimkit-sign', 'aria-hidden': 'true' }, SIGNS[kind]),
      make(
        'div',
        {},
        one.notebook
          ? this._button(one.title, `lesson-${one.id}`, 'trimkit:go', {
              path: this._course.path(one.notebook)
            })
          : make('span', {}, `${one.title} (not in this folder: start trimkit open again)`),
        make('p', { class: 'trimkit-state' }, [one.state, minutes].filter(Boolean).join(' · ')),
        make(
          'p',
          { class: 'trimkit-links' },
          one.card ? this._link('Hall card to print', `card-${one.id}`, one.card, one.title) : null,
          one.notebook && one.state !== 'not begun' && !one.feedback
            ? this._button(
                'Hand in',
                `hand-${one.id}`,
                'trimkit:hand-in',
                { path: this._course.path(one.notebook) },
                one.title
              )
            : null,
          one.handed
            ? this._link('File for your coach', `file-${one.id}`, one.handed, one.title)
            : null,
          one.feedback
            ? this._link('Your page back', `page-${one.id}`, one.feedback, one.title)
            : null
        )
      )
    );
  }

  _cases(cases) {
    if (!cases.length) {
      return [];
    }
    const items = cases.map(name =>
      make('li', {}, this._button(named(name), `case-${name}`, 'trimkit:case', { name }))
    );
    return [make('h3', {}, 'Bring my case back'), make('ul', {}, ...items)];
  }

  _coach(told) {
    return [
      ...this._running(told.run),
      make('h3', {}, 'Hand-ins'),
      make(
        'p',
        { class: 'trimkit-state' },
        told.exchange
          ? `What pupils handed in from their panels, and what you put into ${told.downloads}.`
          : `Put what pupils gave you into ${told.downloads}.`
      ),
      make('p', {}, this._button('Collect', 'collect', 'trimkit:collect')),
      make('h3', {}, 'Lessons'),
      make('ol', { class: 'trimkit-lessons' }, ...told.lessons.map(one => this._marked(one))),
      make('h3', {}, 'The class'),
      make(
        'p',
        {},
        make('label', { for: 'trimkit-pupils' }, 'How many pupils? '),
        make('input', {
          id: 'trimkit-pupils',
          type: 'number',
          min: '1',
          max: '500',
          value: this._pupils,
          'data-key': 'pupils',
          onchange: event => (this._pupils = event.target.value)
        })
      ),
      make(
        'p',
        { class: 'trimkit-links' },
        this._counted('Make the report', 'report'),
        this._counted('Rehearse', 'rehearse'),
        told.report ? this._link('Open the report', 'open-report', told.report, 'the class') : null
      ),
      make(
        'p',
        { class: 'trimkit-state' },
        'A rehearsal plays a class with synthetic pupils, in a folder of its own.'
      )
    ];
  }

  _counted(words, kind) {
    return make(
      'button',
      {
        type: 'button',
        class: 'trimkit-button',
        'data-key': kind,
        onclick: () => {
          const pupils = Number(this._pupils);
          if (!Number.isInteger(pupils) || pupils < 1 || pupils > 500) {
            this.say('How many pupils? A whole number from 1 to 500.');
            return;
          }
          this._run(`trimkit:${kind}`, { pupils });
        }
      },
      words
    );
  }

  _marked(one) {
    const state = `${one.handed_in} handed in, ${one.marked} marked`;
    return make(
      'li',
      { 'data-lesson': one.id },
      make(
        'div',
        {},
        make('span', {}, one.title),
        make('p', { class: 'trimkit-state' }, state),
        make(
          'p',
          { class: 'trimkit-links' },
          one.to_hand_out
            ? this._button('Hand out', `out-${one.id}`, 'trimkit:hand-out', { lesson: one.folder }, one.title)
            : null,
          this._button('Mark', `mark-${one.id}`, 'trimkit:mark', { lesson: one.folder }, one.title),
          this._button('Pages', `pages-${one.id}`, 'trimkit:pages', { lesson: one.folder }, one.title),
          this._button('Open', `open-${one.id}`, 'trimkit:go', { path: one.notebook }, one.title),
          one.plan ? this._link('Plan', `plan-${one.id}`, one.plan, one.title) : null,
          one.card ? this._link('Hall card', `card-${one.id}`, one.card, one.title) : null
        )
      )
    );
  }

  _running(run) {
    if (!run) {
      return [];
    }
    const going = run.state === 'running';
    const bar = make('progress', { 'aria-label': run.title, max: run.of || '', value: run.of ? run.done : '' });
    return [
      make(
        'section',
        { class: 'trimkit-next', 'aria-label': 'What is running', 'data-state': run.state },
        make('p', {}, make('strong', {}, `${run.title}: ${STATES[run.state]}`)),
        going ? make('p', {}, bar, run.of ? ` ${run.done} of ${run.of}` : '') : null,
        run.words ? make('p', { class: 'trimkit-words' }, run.words) : null,
        going ? this._button('Stop', 'stop', 'trimkit:stop', {}, run.title) : null,
        ...run.files.map(name => this._link('Open it', `file-${name}`, name, run.title))
      )
    ];
  }
}

// "case-week-3-1-a1b2c3" is case "week 3".
function named(name) {
  const found = /^case-(.+)-([12])-[0-9a-f]{6}$/.exec(name);
  if (!found) {
    return name;
  }
  return `Case ${found[1].replaceAll('-', ' ')}${found[2] === '2' ? ', two faults' : ''}`;
}
