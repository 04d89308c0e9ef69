#!/bin/sh
# One file of the page's tests under CTest. 77: skipped, with what is missing.
here=$(dirname "$0")
skip() { echo "skipped: $1"; exit 77; }
command -v node >/dev/null || skip "node is not there"
[ "$(node -p 'Number(process.versions.node.split(".")[0]) >= 20')" = true ] || skip "node 20 or newer is needed"
[ -d "$here/node_modules/playwright-core" ] && [ -d "$here/../../src/web/node_modules/esbuild" ] || skip "npm ci has not been run in tests/page and src/web; ./dev test does it"
case $1 in sources*) ;; *) [ -x "${CHROMIUM:-/usr/bin/chromium}" ] || skip "chromium is not there" ;; esac
case $1 in measured.mjs) exec node "$here/$1" ;; esac
exec node --test --test-reporter=spec --test-timeout=900000 "$here/$1"
