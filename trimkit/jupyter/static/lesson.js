// A lesson's notebook: opened at a task, and a task checked.

const named = cell => {
  const kept = cell.model.sharedModel.getMetadata() || {};
  return (kept.nbgrader && kept.nbgrader.grade_id) || '';
};

/** Open a notebook, at a task's answer when one is named. */
export async function openAt(lab, path, task = '') {
  const widget = await lab.app.commands.execute('docmanager:open', { path });
  if (!widget) {
    throw new Error(`${path} could not be opened.`);
  }
  await widget.context.ready;
  await widget.revealed;
  if (task) {
    const cells = widget.content.widgets;
    const place = cells.findIndex(cell => named(cell) === `answer-${task.replace('.', '-')}`);
    if (place >= 0) {
      widget.content.activeCellIndex = place;
      await widget.content.scrollToItem(place, 'center');
    }
  }
  const held = document.activeElement;
  if (!held || held === document.body || held.closest('.trimkit-panel')) {
    widget.content.activate(); // unless the hands are somewhere else by now
  }
  return widget;
}

/** Run the answer of the task at the active cell, and the cell that remarks on it. */
export async function checkTask(lab) {
  const panel = lab.tracker.currentWidget;
  const { content, sessionContext } = panel;
  await sessionContext.ready;
  const cells = content.widgets;
  const check = cells.findIndex(
    (cell, place) => place >= content.activeCellIndex && /^task-\d\d-\d+$/.test(named(cell))
  );
  if (check < 0) {
    throw new Error('There is no task at or below this cell. Click into the answer of a task first.');
  }
  const id = named(cells[check]).slice('task-'.length);
  const answer = cells.findIndex(cell => named(cell) === `answer-${id}`);
  const who = cells.findIndex(cell => cell.model.type === 'code'); // who works here, and the tools
  for (const place of new Set([who, answer < 0 ? check : answer, check])) {
    content.deselectAll();
    content.activeCellIndex = place;
    await lab.notebook.NotebookActions.run(content, sessionContext);
  }
  content.activeCellIndex = check;
  await content.scrollToItem(check, 'center');
  lab.say(said(cells[check]) || `Task ${id.replace('-', '.')} was run: look below its cell.`);
}

/** Save a lesson, say what is missing, and make the file to hand in. */
export async function handIn(lab, args) {
  const { app, apputils, course, tracker } = lab;
  const panel = args.path ? await openAt(lab, args.path) : tracker && tracker.currentWidget;
  if (!panel) {
    throw new Error('Open the lesson that you want to hand in, then choose this again.');
  }
  await panel.context.save();
  const path = course.inCourse(panel.context.path);
  const look = await course.ask('hand-in', 'POST', { path });
  if (look.missing.length) {
    const asked = await apputils.showDialog({
      title: 'Something is missing',
      body: listed(lab, look.missing),
      defaultButton: 0,
      buttons: [
        apputils.Dialog.cancelButton({ label: 'Go back' }),
        apputils.Dialog.okButton({ label: 'Hand in as it is' })
      ]
    });
    if (!asked.button.accept) {
      return;
    }
  }
  const made = await course.ask('hand-in', 'POST', { path, make: true });
  await course.look();
  app.shell.activateById(lab.id);
  lab.say(
    made.exchange
      ? `Handed in. Your coach has it. A copy is ${made.file}.`
      : `Made: ${made.file}. Give this file to your coach; the link stands beside the lesson.`
  );
}

function listed(lab, lines) {
  const node = document.createElement('ul');
  lines.forEach(line => node.appendChild(document.createElement('li')).append(line));
  return new lab.Widget({ node });
}

function said(cell) {
  const shown = cell.node.querySelector('.jp-OutputArea [role="status"]');
  return shown ? shown.innerText : '';
}
