// What JupyterLab loads first. Its loader wants an object with `init` and `get`, as a bundler
// would make it; written by hand it needs no build. The rest are plain modules of the browser.
(() => {
  const here = document.currentScript.src;
  let shared = {};

  // JupyterLab's own copy of a package, never a second one: its tokens are compared by identity.
  async function own(name) {
    const versions = Object.values(shared[name] || {});
    const ours = versions.find(one => one.from === '@jupyterlab/application-top');
    const found = ours || versions[versions.length - 1];
    return found ? (await found.get())() : {};
  }

  window._JUPYTERLAB = window._JUPYTERLAB || {};
  window._JUPYTERLAB.trimkit = {
    init(scope) {
      shared = scope;
    },
    async get(module) {
      if (module !== './extension') {
        throw new Error(`trimkit has no module ${module}`);
      }
      const { plugin } = await import(new URL('plugin.js', here));
      const made = await plugin(own, new URL('panel.css', here).href);
      return () => ({ __esModule: true, default: made });
    }
  };
})();
