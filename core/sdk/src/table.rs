//! A plugin's quantities, each written once.

/// A constant for each quantity of a plugin, and `quantities()`, which lists them in this order.
///
/// A line of the table is `DEPTH = number("snow.depth", Units::LENGTH; "Depth of snow on the roof.");`, for what has no
/// unit `DRIFTS = flag("snow.drifts"; "Whether snow drifts against a higher box.");`.
#[macro_export]
macro_rules! quantities {
    ($($constant:ident = $kind:ident($name:literal $(, $units:expr)?; $meaning:literal);)*) => {
        $(
            #[doc = $meaning]
            pub const $constant: $crate::QuantityDef = $crate::QuantityDef::$kind($name $(, $units)?, $meaning);
        )*

        /// Every quantity that this plugin may write, in the order of its table.
        pub fn quantities() -> Vec<$crate::QuantityDef> {
            vec![$($constant),*]
        }
    };
}

/// All words that a text of a plugin can be: `words("takeoff.seam_kind", all_of!["side-by-side", "stacked"]; "…")`.
#[macro_export]
macro_rules! all_of {
    ($($word:literal),+ $(,)?) => {
        &[$(::std::borrow::Cow::Borrowed($word)),+]
    };
}
