//! Where in the app one is: the part of the address behind `#`.

/// The screens of a circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Screen {
    /// What is joined now?
    Look,
    /// How is the job done?
    Plan,
    /// What do the readings say?
    Measure,
    /// What happens if …?
    Rehearse,
    /// Who knows?
    Teach,
    /// What is there?
    Change,
}

impl Screen {
    /// All of them, in the order of the bar.
    pub(crate) const ALL: [Self; 6] =
        [Self::Look, Self::Plan, Self::Measure, Self::Rehearse, Self::Teach, Self::Change];

    const fn part(self) -> &'static str {
        match self {
            Self::Look => "look",
            Self::Plan => "plan",
            Self::Measure => "measure",
            Self::Rehearse => "rehearse",
            Self::Teach => "teach",
            Self::Change => "change",
        }
    }
}

/// Where one is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Route {
    /// The list of circuits.
    Home,
    /// The settings.
    Settings,
    /// Building a new circuit.
    Build,
    /// A screen of a circuit, by its key.
    Circuit(String, Screen),
    /// A job that is carried out, by its key.
    Job(String),
    /// Nowhere.
    Unknown,
}

impl Route {
    /// From the part of the address behind `#`.
    pub(crate) fn read(hash: &str) -> Self {
        let path = hash.trim_start_matches('#').trim_matches('/');
        let parts: Vec<&str> = path.split('/').collect();
        match parts.as_slice() {
            [""] => Self::Home,
            ["settings"] => Self::Settings,
            ["build"] => Self::Build,
            ["job", key] => Self::Job((*key).into()),
            ["circuit", key, screen] => Screen::ALL
                .into_iter()
                .find(|known| known.part() == *screen)
                .map_or(Self::Unknown, |screen| Self::Circuit((*key).into(), screen)),
            _ => Self::Unknown,
        }
    }

    /// The address.
    pub(crate) fn hash(&self) -> String {
        match self {
            Self::Home | Self::Unknown => "#/".into(),
            Self::Settings => "#/settings".into(),
            Self::Build => "#/build".into(),
            Self::Circuit(key, screen) => format!("#/circuit/{key}/{}", screen.part()),
            Self::Job(key) => format!("#/job/{key}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_leads_back_to_where_it_came_from() {
        let mut all = vec![Route::Home, Route::Settings, Route::Build, Route::Job("a-1".into())];
        all.extend(Screen::ALL.map(|screen| Route::Circuit("rack".into(), screen)));
        for route in all {
            assert_eq!(Route::read(&route.hash()), route);
        }
        assert_eq!(Route::read("#/circuit/rack/paint"), Route::Unknown);
        assert_eq!(Route::read("#/a/b/c/d"), Route::Unknown);
        assert_eq!(Route::read(""), Route::Home);
    }
}
