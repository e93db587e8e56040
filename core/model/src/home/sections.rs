//! Which parts of a home a plugin sees: its head always, a section when it is declared, the rest never.
//!
//! The head is the home's name, its units and revision, and of the site the place and the climate zone, which every home
//! states. How the home is put together, judged and waived (`include`, `issues`, `firm`, `own`, `judge_by`, `parameters`,
//! `plugins`, `waivers`, `levers`) is no plugin's business.

use super::{Home, Site};

/// Defines what may be declared, and how it is carried over.
macro_rules! readable {
    ($($section:ident),*) => {
        /// The sections a plugin sees when it declares them, in the order of [`Home`].
        pub const READABLE: &[&str] = &[$(stringify!($section)),*];

        impl Home {
            /// The home with its head and these sections; in the others it is as if the file said nothing.
            #[must_use]
            pub fn only<S: AsRef<str>>(&self, sections: &[S]) -> Home {
                let mut home = self.head();
                for section in sections {
                    match section.as_ref() {
                        $(stringify!($section) => home.$section = self.$section.clone(),)*
                        _ => {}
                    }
                }
                home
            }
        }
    };
}

readable!(
    site,
    weather,
    modules,
    roof,
    spaces,
    materials,
    assemblies,
    enclosure,
    openings,
    junctions,
    foundation,
    seams,
    penetrations,
    systems,
    safety,
    approvals,
    finishes,
    compounds,
    measurements,
    evidence,
    rates
);

impl Home {
    /// What every plugin sees.
    fn head(&self) -> Home {
        Home {
            home: self.home.clone(),
            include: Vec::new(),
            units: self.units,
            revision: self.revision.clone(),
            issues: Vec::new(),
            firm: None,
            own: Default::default(),
            judge_by: Vec::new(),
            parameters: Default::default(),
            plugins: Vec::new(),
            site: Site::at(self.site.place.clone(), self.site.climate_zone),
            weather: None,
            modules: Default::default(),
            roof: Default::default(),
            spaces: Default::default(),
            materials: Default::default(),
            assemblies: Default::default(),
            enclosure: None,
            openings: Default::default(),
            junctions: Default::default(),
            foundation: None,
            seams: Default::default(),
            penetrations: Default::default(),
            systems: Default::default(),
            safety: None,
            approvals: None,
            finishes: Default::default(),
            compounds: Default::default(),
            measurements: Default::default(),
            evidence: Default::default(),
            waivers: Vec::new(),
            rates: None,
            levers: Default::default(),
        }
    }
}
