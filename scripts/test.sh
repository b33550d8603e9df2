#!/usr/bin/env bash
# The one test command, the same on a laptop and in CI: format, lints, tests, documentation, and the core on wasm.
#
# STEMWISE_SKIP_WASM=1 leaves the last step out; then nothing but a stable Rust toolchain is needed.
set -euo pipefail
cd "$(dirname "$0")/.."

step() { printf '\n== %s (after %d s)\n' "$1" "$SECONDS"; }

log=$(mktemp)
beside=$(mktemp)
trap 'rm -f "$log" "$beside"; kill $(jobs -p) 2>/dev/null || true' EXIT

on_wasm() {
  if [ "${STEMWISE_SKIP_WASM-}" = 1 ]; then
    echo "NOT RUN: STEMWISE_SKIP_WASM=1"
    return
  fi
  status=0
  scripts/wasm.sh || status=$?
  # Status 3: the pieces aren't there. A laptop may go without them, CI may not.
  if [ "$status" = 3 ] && [ -z "${CI-}" ]; then
    echo "NOT RUN: the core was not tried on wasm, nor the app's bundle built anew (see above); everything else passed"
    return
  fi
  [ "$status" = 0 ]
  # The tests have compared the hashes of its sources; here it is built anew and compared byte by byte, where the compiler is the same.
  cargo run --quiet --locked -p stemwise-bundle -- --check
}

tests() { cargo test --locked --workspace --no-fail-fast "$@" 2>&1 | tee -a "$log"; }

step "format"
cargo fmt --all --check

step "lints"
cargo clippy --locked --workspace --all-targets -- -D warnings

step "tests, compiled"
cargo test --locked --workspace --no-run

step "tests"
tests

# Sweeps too slow for every run stand in tests/slow.rs of a crate, each marked `#[ignore = "slow"]`. Most of them keep one core busy, and what is compiled
# for wasm another; the tests in a browser, which wait for what it shows, have both to themselves.
step "slow tests; beside them the core on wasm and the app's bundle"
on_wasm >"$beside" 2>&1 &
wasm=$!
tests --test slow -- --include-ignored

step "core on wasm and the app's bundle"
status=0
wait "$wasm" || status=$?
cat "$beside"
[ "$status" = 0 ]

step "documentation"
RUSTDOCFLAGS="-D warnings" cargo doc --locked --quiet --workspace --no-deps

step "all tests"
# Every runner's closing line, added up; a run that tested nothing has not passed.
awk '/^test result: / { passed += $4; failed += $6; skipped += $8 }
  END { printf "%d passed, %d failed, %d skipped\n", passed, failed, skipped; exit !(passed > 0 && failed == 0) }' "$log"
