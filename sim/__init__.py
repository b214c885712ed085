"""The numeric half of Trueseat: seating, runout, wear, judder, indexing; no renderer."""

import os as _os

# One thread in the linear algebra library: the matrices are small, the work is shared out by case instead, and the
# order of additions, hence the last bit of every answer, does not depend on the machine's cores.
for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    _os.environ.setdefault(_name, "1")
