#!/usr/bin/env bash
# Builds the core crates for wasm32-unknown-unknown, runs them there (node), and compares their report with the native one, byte by byte.
#
# With the toolchain's own wasm target (`rustup target add wasm32-unknown-unknown`) that is used; without it Debian's rustc-web,
# cargo-web and rust-web-src build the standard library from source.
# `scripts/wasm.sh --speed` compares times instead: the same work natively and on wasm, by turns, with the ratio.
# `scripts/wasm.sh --missing` only says which Debian packages to install; it prints nothing where nothing is missing.
set -euo pipefail
cd "$(dirname "$0")/.."

target=wasm32-unknown-unknown
sources=/usr/lib/rustlib/src/rust/library

has_target() { [ -d "$(rustc --print target-libdir --target "$target")" ]; }

# Debian's compiler comes without the linker that the wasm target wants; the toolchain's own has it.
linker() {
  local host bundled
  host=$(rustc -vV | sed -n 's/^host: //p')
  bundled=$(rustc --print sysroot)/lib/rustlib/$host/bin/rust-lld
  if [ -x "$bundled" ]; then echo "$bundled"; else command -v rust-lld || command -v wasm-ld || true; fi
}

missing() {
  command -v node >/dev/null || echo nodejs
  has_target && return
  [ -x /usr/bin/rustc ] || echo rustc-web
  [ -x /usr/bin/cargo ] || echo cargo-web
  [ -d "$sources" ] || echo rust-web-src
  [ -n "$(linker)" ] || echo lld
}

lacking=$(missing | tr '\n' ' ')
if [ "${1-}" = --missing ]; then
  echo -n "$lacking"
  exit
fi
if [ -n "$lacking" ]; then
  echo "scripts/wasm.sh: can't run the core on wasm here; install first: apt-get install -y --no-install-recommends $lacking" >&2
  exit 3
fi

reports=$(mktemp -d)
trap 'rm -rf "$reports"' EXIT
# Built as the app is, so that what both are made of is compiled once, and what is shipped is what is tried.
module=$(cargo run --quiet --locked -p stemwise-bundle -- --module stemwise-smoke)
if [ "${1-}" = --speed ]; then
  cargo run --quiet --locked --release -p stemwise-smoke --example speed >"$reports/native"
  node dev/smoke/speed.mjs "$module" "$reports/native"
  exit
fi
node dev/smoke/run.mjs "$module" >"$reports/wasm"
cargo run --quiet --locked -p stemwise-smoke >"$reports/native"
if ! diff "$reports/native" "$reports/wasm"; then
  echo "scripts/wasm.sh: the core says something else on wasm (>) than natively (<)" >&2
  exit 1
fi
lines=$(wc -l <"$reports/wasm")
if [ "$lines" -lt 50 ]; then
  echo "scripts/wasm.sh: the report has only $lines lines; nothing was compared" >&2
  exit 1
fi
echo "wasm: $lines lines of the report agree with the native run, byte by byte"
