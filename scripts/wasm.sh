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
target_dir=${STEMWISE_WASM_TARGET_DIR:-${XDG_CACHE_HOME:-$HOME/.cache}/stemwise/wasm-target}
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

build() {
  local options=(--quiet --locked --release --lib -p stemwise-smoke --target "$target" --target-dir "$target_dir")
  if has_target; then
    cargo build "${options[@]}"
  else
    # RUSTC_BOOTSTRAP lets this one stable compiler take -Zbuild-std; nothing of the project needs an unstable feature.
    local linker
    linker=$(linker)
    PATH=/usr/bin:$PATH RUSTC=/usr/bin/rustc RUSTC_BOOTSTRAP=1 CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER=$linker \
      /usr/bin/cargo build "${options[@]}" -Zbuild-std=std,panic_abort
  fi
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
build
if [ "${1-}" = --speed ]; then
  cargo run --quiet --locked --release -p stemwise-smoke --example speed >"$reports/native"
  node dev/smoke/speed.mjs "$target_dir/$target/release/stemwise_smoke.wasm" "$reports/native"
  exit
fi
node dev/smoke/run.mjs "$target_dir/$target/release/stemwise_smoke.wasm" >"$reports/wasm"
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
