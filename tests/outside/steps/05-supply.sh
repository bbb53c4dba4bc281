# Licences, sources and versions of what is built in.
set -euo pipefail
cargo metadata --format-version 1 --locked | "$PYTHON" tests/outside/check_supply.py .deny.toml
