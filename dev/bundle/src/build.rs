//! Compiles a package to a wasm module as it is shipped, with the toolchain's wasm target or with the distribution's compiler and the library's source.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::list::hash;

const TARGET: &str = "wasm32-unknown-unknown";
const SOURCES: &str = "/usr/lib/rustlib/src/rust/library";

/// How the module is compiled.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Profile {
    /// As it is shipped.
    App,
    /// Quickly, to look at.
    Dev,
}

impl Profile {
    const fn name(self) -> &'static str {
        match self {
            Self::App => "app",
            Self::Dev => "dev",
        }
    }
    const fn folder(self) -> &'static str {
        match self {
            Self::App => "app",
            Self::Dev => "debug",
        }
    }
}

/// Where it is built: beside the smoke run's, away from the native builds.
pub(crate) fn target_dir() -> Result<PathBuf> {
    if let Some(set) = std::env::var_os("STEMWISE_WASM_TARGET_DIR") {
        return Ok(set.into());
    }
    let cache = std::env::var_os("XDG_CACHE_HOME").map(PathBuf::from);
    let home = || std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".cache"));
    Ok(cache.or_else(home).context("neither XDG_CACHE_HOME nor HOME is set")?.join("stemwise/wasm-target"))
}

fn text_of(command: &mut Command) -> Result<String> {
    let out = command.output().with_context(|| format!("can't run {command:?}"))?;
    if !out.status.success() {
        bail!("{command:?}: {}", String::from_utf8_lossy(&out.stderr));
    }
    Ok(String::from_utf8_lossy(&out.stdout).trim().to_owned())
}

/// Whether the usual toolchain has the wasm target.
fn has_target() -> Result<bool> {
    Ok(Path::new(&text_of(Command::new("rustc").args(["--print", "target-libdir", "--target", TARGET]))?)
        .is_dir())
}

/// Everything that decides the bytes besides the sources, in a line: the compiler, the linker, and where the registry's sources lie.
pub(crate) fn toolchain() -> Result<String> {
    let compiler = if has_target()? { "rustc" } else { "/usr/bin/rustc" };
    let version = text_of(Command::new(compiler).arg("-vV"))?;
    let line = |start: &str| version.lines().find(|line| line.starts_with(start)).unwrap_or_default();
    let linker = if has_target()? {
        String::from("its own linker")
    } else {
        text_of(Command::new(linker()?).args(["-flavor", "wasm", "--version"]))?
    };
    let registry = hash(format!("{:?}", registries()?).as_bytes());
    let registry = registry.get(..8).unwrap_or_default();
    Ok(format!("{} ({}), {linker}, sources {registry}", line("rustc "), line("LLVM version: ")))
}

/// The names of the folders that sources are unpacked into: they stand in what a panic says.
fn registries() -> Result<Vec<String>> {
    let entries = std::fs::read_dir(registry()?).context("there is no registry")?;
    let mut names: Vec<String> =
        entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok()).collect();
    names.sort();
    Ok(names)
}

fn registry() -> Result<PathBuf> {
    let home = || std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".cargo"));
    let registry = std::env::var_os("CARGO_HOME").map(PathBuf::from).or_else(home);
    Ok(registry.context("HOME is not set")?.join("registry/src"))
}

/// The linker: the distribution's compiler comes without the one that the target wants; the toolchain's own has it.
fn linker() -> Result<PathBuf> {
    let version = text_of(Command::new("rustc").arg("-vV"))?;
    let host = version.lines().find_map(|line| line.strip_prefix("host: ")).context("rustc names no host")?;
    let sysroot = text_of(Command::new("rustc").args(["--print", "sysroot"]))?;
    let bundled = Path::new(&sysroot).join("lib/rustlib").join(host).join("bin/rust-lld");
    Ok(if bundled.exists() { bundled } else { "rust-lld".into() })
}

/// The cargo command to build with.
fn cargo() -> Result<Command> {
    if has_target()? {
        return Ok(Command::new("cargo"));
    }
    if !Path::new(SOURCES).is_dir() {
        bail!(
            "nothing here compiles for {TARGET}: `rustup target add {TARGET}`, or install rustc-web, cargo-web and rust-web-src"
        );
    }
    let mut cargo = Command::new("/usr/bin/cargo");
    let path = std::env::var("PATH").unwrap_or_default();
    cargo.env("PATH", format!("/usr/bin:{path}"));
    cargo.env("RUSTC", "/usr/bin/rustc").env("RUSTC_BOOTSTRAP", "1");
    cargo.env_remove("RUSTUP_TOOLCHAIN").env_remove("CARGO");
    cargo.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", linker()?);
    Ok(cargo)
}

/// The app's package.
pub(crate) const APP: &str = "stemwise-app";

/// Builds the module of a package and returns its path.
///
/// # Errors
/// What is missing, or what the compiler said.
pub(crate) fn module(root: &Path, package: &str, profile: Profile) -> Result<PathBuf> {
    let target_dir = target_dir()?;
    let mut cargo = cargo()?;
    cargo.current_dir(root);
    cargo.args(["build", "--quiet", "--locked", "-p", package, "--lib", "--target", TARGET]);
    cargo.args(["--profile", profile.name()]).arg("--target-dir").arg(&target_dir);
    if cargo.get_program() != "cargo" {
        cargo.arg("-Zbuild-std=std,panic_abort");
    }
    // No path of this machine in what is shipped; the flags of .cargo/config.toml are repeated because these replace them.
    let registry = registry()?;
    let flags = format!(
        "-Ctarget-feature=+simd128\x1f--remap-path-prefix={}=/registry\x1f--remap-path-prefix={}=/library",
        registry.display(),
        SOURCES
    );
    cargo.env("CARGO_ENCODED_RUSTFLAGS", flags);
    let status = cargo.status().context("can't run cargo")?;
    if !status.success() {
        bail!("{package} did not compile");
    }
    Ok(target_dir.join(TARGET).join(profile.folder()).join(format!("{}.wasm", package.replace('-', "_"))))
}
