//! The user's settings: from options, the environment, and the settings file.

use std::env;
use std::fs;
use std::io::ErrorKind;
use std::path::PathBuf;

use stemwise_answer::{Error, Settings, SettingsError, atmosphere, units};
use stemwise_units::{Pressure, UnitSystem, atmosphere_at};

use crate::args::{Common, Site};
use crate::files;

/// The units to print in: the option, then the environment, then the settings file, then SI.
pub(crate) fn unit_system(common: &Common) -> Result<UnitSystem, Error> {
    Ok(chosen_units(common)?.unwrap_or_default())
}

/// The units that were chosen: by the option, else the environment, else the settings file.
pub(crate) fn chosen_units(common: &Common) -> Result<Option<UnitSystem>, Error> {
    let from = |place: &str, typed: &str| {
        units(typed).map_err(|error| Error::Chosen { place: place.into(), error: Box::new(error) })
    };
    if let Some(typed) = &common.units {
        return from("--units", typed).map(Some);
    }
    if let Some(typed) = env::var("STEMWISE_UNITS").ok().filter(|typed| !typed.is_empty()) {
        return from("STEMWISE_UNITS", &typed).map(Some);
    }
    Ok(settings()?.units)
}

/// The atmosphere where gauges read zero: the options, then the settings file, then sea level.
pub(crate) fn site_atmosphere(site: &Site) -> Result<Pressure, Error> {
    let given = atmosphere(site.altitude.as_deref(), site.barometer.as_deref()).map_err(option_error)?;
    if let Some(given) = given {
        return Ok(given);
    }
    let sea_level = atmosphere_at(stemwise_units::Length::from_m(0.0)).map_err(Error::typed("altitude"))?;
    Ok(settings()?.atmosphere.unwrap_or(sea_level))
}

fn option_error(error: SettingsError) -> Error {
    match error {
        SettingsError::Value { key, error } => Error::Typed { what: format!("--{key}"), error },
        other => Error::Chosen { place: "options".into(), error: Box::new(other) },
    }
}

/// The settings file, if there is one. One that was asked for by name must be there.
fn settings() -> Result<Settings, Error> {
    let named = env::var_os("STEMWISE_SETTINGS").filter(|path| !path.is_empty()).map(PathBuf::from);
    let must_exist = named.is_some();
    let Some(path) = named.or_else(usual_path) else { return Ok(Settings::default()) };
    let shown = path.display().to_string();
    match fs::read(&path) {
        Ok(bytes) => Settings::read(&bytes).map_err(|error| Error::Settings { path: shown, error }),
        Err(error)
            if !must_exist && matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) =>
        {
            Ok(Settings::default())
        }
        Err(error) => Err(files::unreadable(&format!("the settings file {shown}"), &error)),
    }
}

fn usual_path() -> Option<PathBuf> {
    let folder = |name: &str| env::var_os(name).filter(|path| !path.is_empty()).map(PathBuf::from);
    let configuration = if cfg!(windows) {
        folder("APPDATA")
    } else {
        folder("XDG_CONFIG_HOME").or_else(|| folder("HOME").map(|home| home.join(".config")))
    };
    configuration.map(|folder| folder.join("stemwise").join("settings.toml"))
}
