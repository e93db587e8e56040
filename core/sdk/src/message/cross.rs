//! Carrying a value over the boundary, in either direction, field by field.

use super::{Real, Refused, Units, Value};
use mateline_model as model;
use std::borrow::Cow;

/// A value that has a counterpart on the other side.
pub(super) trait Cross<Other> {
    /// The counterpart.
    fn cross(self) -> Result<Other, Refused>;
}

impl Cross<Real> for f64 {
    fn cross(self) -> Result<Real, Refused> {
        Ok(Real(self))
    }
}

impl Cross<f64> for Real {
    fn cross(self) -> Result<f64, Refused> {
        Ok(self.0)
    }
}

impl Cross<Units> for model::quantity::Units {
    fn cross(self) -> Result<Units, Refused> {
        Ok(Units::from(&self))
    }
}

impl Cross<model::quantity::Units> for Units {
    fn cross(self) -> Result<model::quantity::Units, Refused> {
        self.try_into()
    }
}

impl Cross<Value> for model::Value {
    fn cross(self) -> Result<Value, Refused> {
        Ok(Value::from(&self))
    }
}

impl Cross<model::Value> for Value {
    fn cross(self) -> Result<model::Value, Refused> {
        self.try_into()
    }
}

impl Cross<String> for Cow<'static, str> {
    fn cross(self) -> Result<String, Refused> {
        Ok(self.into_owned())
    }
}

impl Cross<Cow<'static, str>> for String {
    fn cross(self) -> Result<Cow<'static, str>, Refused> {
        Ok(self.into())
    }
}

impl<A: Cross<B>, B> Cross<Option<B>> for Option<A> {
    fn cross(self) -> Result<Option<B>, Refused> {
        self.map(Cross::cross).transpose()
    }
}

impl<A: Cross<B>, B> Cross<Vec<B>> for Vec<A> {
    fn cross(self) -> Result<Vec<B>, Refused> {
        self.into_iter().map(Cross::cross).collect()
    }
}

impl<A: Cross<B>, B> Cross<[B; 4]> for [A; 4] {
    fn cross(self) -> Result<[B; 4], Refused> {
        let [a, b, c, d] = self;
        Ok([a.cross()?, b.cross()?, c.cross()?, d.cross()?])
    }
}

impl<A: Cross<B>, B> Cross<(B, B)> for (A, A) {
    fn cross(self) -> Result<(B, B), Refused> {
        Ok((self.0.cross()?, self.1.cross()?))
    }
}

/// What is the same on both sides.
macro_rules! same {
    ($($kind:ty),*) => {
        $(impl Cross<$kind> for $kind {
            fn cross(self) -> Result<$kind, Refused> {
                Ok(self)
            }
        })*
    };
}

same!(String, bool, usize);

/// A struct of the model with a message of the same name and fields.
macro_rules! part {
    ($(#[$doc:meta])* $name:ident { $($(#[$field_doc:meta])* $field:ident: $kind:ty,)* }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name { $($(#[$field_doc])* pub $field: $kind,)* }

        impl Cross<$name> for model::$name {
            fn cross(self) -> Result<$name, Refused> {
                let model::$name { $($field),* } = self;
                Ok($name { $($field: $field.cross()?,)* })
            }
        }

        impl Cross<model::$name> for $name {
            fn cross(self) -> Result<model::$name, Refused> {
                let $name { $($field),* } = self;
                Ok(model::$name { $($field: $field.cross()?,)* })
            }
        }
    };
}

/// An enum of the model with a message of the same name, variants and fields.
macro_rules! choice {
    ($(#[$doc:meta])* $name:ident {
        $($(#[$variant_doc:meta])* $variant:ident { $($(#[$field_doc:meta])* $field:ident: $kind:ty,)* })*
    }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(rename_all = "kebab-case", deny_unknown_fields)]
        pub enum $name {
            $($(#[$variant_doc])* $variant { $($(#[$field_doc])* $field: $kind,)* },)*
        }

        impl Cross<$name> for model::$name {
            fn cross(self) -> Result<$name, Refused> {
                Ok(match self {
                    $(model::$name::$variant { $($field),* } => $name::$variant { $($field: $field.cross()?,)* },)*
                })
            }
        }

        impl Cross<model::$name> for $name {
            fn cross(self) -> Result<model::$name, Refused> {
                Ok(match self {
                    $($name::$variant { $($field),* } => model::$name::$variant { $($field: $field.cross()?,)* },)*
                })
            }
        }
    };
}

/// An enum of words of the model with a message of the same name and words.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($word:ident),* }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
        #[serde(rename_all = "kebab-case")]
        #[allow(missing_docs, reason = "each word says what it is")]
        pub enum $name { $($word),* }

        impl Cross<$name> for model::$name {
            fn cross(self) -> Result<$name, Refused> {
                Ok(match self { $(model::$name::$word => $name::$word),* })
            }
        }

        impl Cross<model::$name> for $name {
            fn cross(self) -> Result<model::$name, Refused> {
                Ok(match self { $($name::$word => model::$name::$word),* })
            }
        }
    };
}

pub(super) use {choice, part, words};
