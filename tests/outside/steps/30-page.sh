#!/usr/bin/env bash
# The page of a package in Debian's Chromium: what it shows, and what its own check says of packages damaged on purpose.
# Screenshots and printed sheets go to target/page/screenshots.
set -euo pipefail

# Each by itself: on a machine with Node.js from elsewhere, Debian's npm would be refused beside it, and the browser with it.
missing=()
command -v chromium >/dev/null || missing+=(chromium)
command -v node >/dev/null || missing+=(nodejs)
command -v npm >/dev/null || missing+=(npm)
command -v pdftotext >/dev/null || missing+=(poppler-utils)
if [ "${#missing[@]}" -gt 0 ]; then
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
fi
cd tests/outside/page
[ -d node_modules/playwright-core ] || npm install --no-package-lock --no-audit --no-fund --silent
npm test --silent
