"""What people see: pictures, films, plots, reports and the command line."""

import sim as _sim  # noqa: F401 - first of all: it settles how many threads the linear algebra may take
