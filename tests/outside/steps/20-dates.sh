# Dates: the same strings read by kithbag and by an independent EDTF library; every difference is explained in the check.
set -euo pipefail
KITHBAG_OUTSIDE=1 cargo test --quiet --test edtf_verdicts >/dev/null
"$PYTHON" tests/outside/check_edtf.py
