// What the server tells of the course, and what it is asked to do.

const WHILE_RUNNING_MS = 1000;
const SOON_MS = 700; // after a cell ran: its answer is in the log then

export class Course {
  constructor(ServerConnection, URLExt) {
    this._connection = ServerConnection;
    this._settings = ServerConnection.makeSettings();
    this._join = URLExt.join;
    this._soon = 0;
    this._again = 0;
    this.told = null;
    this.changed = () => undefined;
    this.failed = () => undefined;
  }

  get role() {
    return this.told ? this.told.role : '';
  }

  /** Where a file of the course lies for JupyterLab. */
  path(name) {
    return this.told && this.told.prefix ? `${this.told.prefix}/${name}` : name;
  }

  /** The other way round: a file of JupyterLab's, as the course names it. */
  inCourse(path) {
    const before = this.told && this.told.prefix ? `${this.told.prefix}/` : '';
    return path.startsWith(before) ? path.slice(before.length) : path;
  }

  /** The address of a file as a page of its own. */
  address(name) {
    const parts = this.path(name).split('/').map(encodeURIComponent);
    return this._join(this._settings.baseUrl, 'files', ...parts);
  }

  async ask(door, method = 'GET', body = undefined) {
    const address = this._join(this._settings.baseUrl, 'trimkit', door);
    const init = body === undefined ? { method } : { method, body: JSON.stringify(body) };
    let reply;
    try {
      reply = await this._connection.makeRequest(address, init, this._settings);
    } catch {
      throw new Error('JupyterLab does not answer. Is it still running where you started it?');
    }
    const told = await reply.json().catch(() => ({}));
    if (!reply.ok) {
      throw new Error(told.message || `The server refused it (${reply.status}).`);
    }
    return told;
  }

  /** Ask where everybody stands, and show it. */
  async look() {
    try {
      this.told = await this.ask('course');
    } catch (error) {
      this.failed(error.message);
      return this.told;
    }
    this._show();
    return this.told;
  }

  lookSoon() {
    clearTimeout(this._soon);
    this._soon = setTimeout(() => this.look(), SOON_MS);
  }

  async start(order) {
    const { run } = await this.ask('runs', 'POST', order);
    this.told = { ...this.told, run };
    this._show();
  }

  async stop() {
    const run = this.told && this.told.run;
    if (!run || run.state !== 'running') {
      throw new Error('Nothing is running.');
    }
    this.told = { ...this.told, ...(await this.ask(`runs/${run.number}`, 'DELETE')) };
    this._show();
  }

  _show() {
    this.changed(this.told);
    clearTimeout(this._again);
    const run = this.told.run;
    if (run && ['running', 'stopping'].includes(run.state)) {
      this._again = setTimeout(() => this.look(), WHILE_RUNNING_MS);
    }
  }
}
