//! An hourly year of weather: reading it from a file, and what follows from it for a site. A library, no plugin.
//!
//! [`read`] takes the text of a TMY3 file or of a plain table and names every row that cannot be; [`Summary`] makes of a
//! year what a home's site says of its climate; [`sun`] and [`sky`] tell where the sun stands and what falls on a plane.

mod layout;
mod likely;
mod read;
pub mod sky;
mod stamps;
mod summary;
pub mod sun;
mod table;
mod year;

pub use read::{LARGEST, read};
pub use summary::{MonthMeans, Summary};
pub use table::Fault;
pub use year::{DAYS, HOURS, Hour, WeatherYear, month_of, stamp};
