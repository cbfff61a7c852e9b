// The course in JupyterLab: a panel in the left sidebar, commands, a menu and launcher cards.

import { Panel } from './panel.js';
import { Course } from './course.js';
import { checkTask, handIn, openAt } from './lesson.js';

const PLANE =
  '<svg xmlns="http://www.w3.org/2000/svg" width="16" viewBox="0 0 24 24">' +
  '<g class="jp-icon3" fill="#616161"><path d="M2 8h20v3H2z"/><path d="M11 3h2v18h-2z"/>' +
  '<path d="M7 18h10v2.4H7z"/><path d="M8 2h8v1.6H8z"/></g></svg>';
const ID = 'trimkit-course';

/** Make the plugin from JupyterLab's own packages. */
export async function plugin(own, style) {
  const [apputils, application, launcher, mainmenu, notebook, services, utils, ui, widgets] =
    await Promise.all(
      [
        '@jupyterlab/apputils',
        '@jupyterlab/application',
        '@jupyterlab/launcher',
        '@jupyterlab/mainmenu',
        '@jupyterlab/notebook',
        '@jupyterlab/services',
        '@jupyterlab/coreutils',
        '@jupyterlab/ui-components',
        '@lumino/widgets'
      ].map(own)
    );
  const wanted = [
    apputils.ICommandPalette,
    launcher.ILauncher,
    mainmenu.IMainMenu,
    notebook.INotebookTracker,
    application.ILayoutRestorer
  ];
  return {
    id: 'trimkit:course',
    description: 'The way through the course',
    autoStart: true,
    optional: wanted,
    activate(app, palette, launch, menus, tracker, restorer) {
      const link = document.createElement('link');
      link.rel = 'stylesheet';
      link.href = style;
      document.head.appendChild(link);

      const icon = new ui.LabIcon({ name: 'trimkit:plane', svgstr: PLANE });
      const course = new Course(services.ServerConnection, utils.URLExt);
      const { Widget, Menu } = widgets;
      const lab = { app, tracker, notebook, apputils, course, Widget, id: ID };
      const commands = addCommands(lab, icon);
      const widget = panelWidget(lab, icon);
      app.shell.add(widget, 'left', { rank: 90 });
      if (restorer) {
        restorer.add(widget, ID);
      }
      addEverywhere(app, commands, palette, launch, menus, Menu);
      showToNewcomers(app, course);
      keepFresh(course, tracker, notebook.NotebookActions);
    }
  };
}

function panelWidget(lab, icon) {
  const widget = new lab.Widget();
  widget.id = ID;
  widget.title.icon = icon;
  widget.title.caption = 'Course';
  widget.addClass('trimkit-panel');
  const panel = new Panel(widget.node, {
    course: lab.course,
    run: (command, args) => lab.app.commands.execute(command, args)
  });
  lab.course.changed = told => {
    panel.show(told);
    lab.app.commands.notifyCommandChanged();
  };
  lab.course.failed = words => panel.say(words);
  lab.say = words => panel.say(words);
  widget.onAfterShow = () => lab.course.look();
  widget.onActivateRequest = () => panel.focus();
  return widget;
}

function addCommands(lab, icon) {
  const { app, course } = lab;
  const add = (name, label, execute, more = {}) => {
    const command = `trimkit:${name}`;
    app.commands.addCommand(command, {
      label,
      caption: label,
      icon,
      execute: args => tellOf(lab, () => execute(args || {})),
      ...more
    });
    return command;
  };
  const forPupil = { isVisible: () => course.role !== 'coach' };
  const forCoach = { isVisible: () => course.role === 'coach' };
  const inNotebook = {
    isEnabled: () => Boolean(lab.tracker && lab.tracker.currentWidget),
    ...forPupil
  };
  return {
    all: [add('open', 'Open the course', () => app.shell.activateById(ID))],
    pupil: [
      add('next', 'Open the next lesson', () => openNext(lab), forPupil),
      add('check', 'Check this task', () => checkTask(lab), inNotebook),
      add('hand-in', 'Hand in this lesson', args => handIn(lab, args), forPupil),
      add('words', 'Look up a word', () => lookUp(lab), forPupil),
      add('case', 'Bring my case back', args => bringBack(lab, args), forPupil)
    ],
    coach: [
      add('hand-out', 'Hand out a lesson', args => ofLesson(lab, 'hand-out', args), forCoach),
      add('collect', 'Collect hand-ins', () => start(lab, 'collect'), forCoach),
      add('mark', 'Mark a lesson', args => ofLesson(lab, 'mark', args), forCoach),
      add('pages', 'Make the pages for pupils', args => ofLesson(lab, 'pages', args), forCoach),
      add('report', 'Report on the class', args => start(lab, 'report', args), forCoach),
      add('rehearse', 'Rehearse a class', args => rehearse(lab, args), forCoach),
      add('stop', 'Stop what is running', () => course.stop(), forCoach)
    ],
    inner: [
      add('go', 'Open a lesson', args => openAt(lab, args.path, args.task), {
        isVisible: () => false
      })
    ]
  };
}

// A newcomer sees the way through the course first; whoever has something open sees that.
async function showToNewcomers(app, course) {
  await app.restored;
  const told = await course.look();
  const open = [...app.shell.widgets('main')].some(widget => widget.context);
  if (told && told.role && !open) {
    app.shell.activateById(ID);
  }
}

function addEverywhere(app, commands, palette, launch, menus, Menu) {
  const shown = [...commands.all, ...commands.pupil, ...commands.coach];
  if (palette) {
    shown.forEach(command => palette.addItem({ command, category: 'Course' }));
  }
  if (launch) {
    [commands.all[0], commands.pupil[0]].forEach((command, rank) =>
      launch.add({ command, category: 'Course', rank })
    );
  }
  if (menus) {
    const menu = new Menu({ commands: app.commands });
    menu.id = 'trimkit-menu';
    menu.title.label = 'Course';
    shown.forEach(command => menu.addItem({ command }));
    menus.addMenu(menu, true, { rank: 55 });
  }
}

// The panel looks again when something may have changed; nothing asks while nothing happens.
function keepFresh(course, tracker, actions) {
  window.addEventListener('focus', () => course.look());
  if (actions && actions.executed) {
    actions.executed.connect(() => course.lookSoon());
  }
  if (tracker) {
    tracker.widgetAdded.connect((_, panel) => {
      panel.context.saveState.connect((__, state) => {
        if (state === 'completed') {
          course.lookSoon();
        }
      });
    });
  }
}

async function tellOf(lab, work) {
  try {
    return await work();
  } catch (error) {
    lab.app.shell.activateById(ID);
    lab.say(error.message);
    return undefined;
  }
}

async function openNext(lab) {
  const told = await lab.course.look();
  if (!told || !told.next) {
    throw new Error((told && told.notes && told.notes[0]) || 'There is no course here.');
  }
  if (told.next.hand_in) {
    await openAt(lab, lab.course.path(told.next.notebook));
    return handIn(lab, {});
  }
  if (!told.next.notebook) {
    lab.app.shell.activateById(ID);
    lab.say(told.next.words);
    return undefined;
  }
  return openAt(lab, lab.course.path(told.next.notebook), told.next.task);
}

async function lookUp(lab) {
  const told = await lab.course.look();
  if (!told || !told.glossary) {
    throw new Error('There is no list of words in this folder. Start again with: trimkit open');
  }
  const path = lab.course.path(told.glossary);
  return lab.app.commands.execute('docmanager:open', { path, factory: 'Markdown Preview' });
}

async function bringBack(lab, args) {
  const told = await lab.course.look();
  const name = args.name || (told && told.cases && told.cases[0]);
  if (!name) {
    throw new Error('You have no case yet. A lesson opens one for you.');
  }
  const made = await lab.course.ask('case', 'POST', { name });
  return openAt(lab, lab.course.path(made.path));
}

async function start(lab, kind, args = {}) {
  lab.app.shell.activateById(ID);
  return lab.course.start({ kind, ...args });
}

async function ofLesson(lab, kind, args) {
  const told = await lab.course.look();
  let lesson = args.lesson;
  if (!lesson) {
    const found = await lab.apputils.InputDialog.getItem({
      title: 'Which lesson?',
      items: told.lessons.map(one => one.folder)
    });
    lesson = found.value;
  }
  return lesson ? start(lab, kind, { lesson }) : undefined;
}

async function rehearse(lab, args) {
  let pupils = args.pupils;
  if (!pupils) {
    const found = await lab.apputils.InputDialog.getNumber({
      title: 'Rehearse with how many synthetic pupils?',
      value: 12
    });
    pupils = found.value;
  }
  return pupils ? start(lab, 'rehearse', { pupils: Math.round(pupils) }) : undefined;
}
