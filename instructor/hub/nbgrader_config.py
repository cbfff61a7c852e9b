"""nbgrader's settings for every account: which course, and where the exchange is.

It goes into `/etc/jupyter` and says nothing secret.
"""

c = get_config()  # noqa: F821 (nbgrader puts it here)

c.CourseDirectory.course_id = "trimkit"
c.Exchange.root = "/srv/trimkit/exchange"
