"""JupyterLab on this machine: made ready, started, asked, stopped."""
