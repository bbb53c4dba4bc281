#!/usr/bin/env bash
# The page of a package in Debian's Chromium: what it shows, and what its own check says of packages damaged on purpose.
# Screenshots and printed sheets go to target/page/screenshots.
set -euo pipefail

if ! command -v chromium >/dev/null || ! command -v npm >/dev/null || ! command -v pdftotext >/dev/null; then
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium nodejs npm poppler-utils >/dev/null
fi
cd tests/outside/page
[ -d node_modules/playwright-core ] || npm install --no-package-lock --no-audit --no-fund --silent
npm test --silent
