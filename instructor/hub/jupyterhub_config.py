"""JupyterHub on one machine with real accounts: a coach, and pupils by number.

Copy it to `/srv/trimkit/hub`, which only root may enter, and change it there: root runs what
stands here, so nobody else may write it. README.md beside this file says how.
"""

import sys

CLASS_WORD = ""  # as the coach gives it to `trimkit mark --class-word`; pupils can read it
COURSE = "/srv/trimkit/course"  # the coach's folder, with keys and marks; closed to pupils
STATE = "/srv/trimkit/hub"  # tokens of everybody who is logged in; closed to all but root
GROUP = "trimkit"  # the accounts that may log in

c = get_config()  # noqa: F821 (JupyterHub puts it here)

# This machine only: passwords must not go through a network in the clear. Put the school's own
# HTTPS in front, or give JupyterHub a certificate (ssl_key, ssl_cert) and a wider address.
c.JupyterHub.bind_url = "http://127.0.0.1:8000"

c.JupyterHub.authenticator_class = "pam"  # the machine's own accounts and passwords
c.PAMAuthenticator.allowed_groups = {GROUP}  # and nobody is an admin of the Hub

# Each server runs as its own account, so files have the right owner. What it runs makes the
# folder ready first, as that account: the work folder of pupil-07, the course for a coach.
c.JupyterHub.spawner_class = "jupyterhub.spawner.LocalProcessSpawner"
c.Spawner.cmd = [sys.executable, "-P", "-m", "trimkit.jupyter.hub"]
c.Spawner.environment = {"TRIMKIT_COURSE_ROOT": COURSE, "TRIMKIT_CLASS_WORD": CLASS_WORD}
c.Spawner.default_url = "/lab"
c.Spawner.start_timeout = 180  # a whole class logs in at once
c.Spawner.http_timeout = 180

c.JupyterHub.db_url = f"sqlite:///{STATE}/jupyterhub.sqlite"
c.JupyterHub.cookie_secret_file = f"{STATE}/cookie_secret"
c.ConfigurableHTTPProxy.pid_file = f"{STATE}/proxy.pid"
