use crate::geom::{Axis, Direction};
use crate::units::Unit;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, Visitor};
use std::borrow::Cow;
use std::marker::PhantomData;

/// Unit of every length in a file.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "Unit")]
pub(crate) enum UnitFile {
    /// Inches.
    Inch,
    /// Millimetres.
    Mm,
}

impl From<UnitFile> for Unit {
    fn from(unit: UnitFile) -> Self {
        match unit {
            UnitFile::Inch => Unit::Inch,
            UnitFile::Mm => Unit::Millimetre,
        }
    }
}

/// An axis.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "Axis")]
pub(crate) enum AxisFile {
    /// X.
    X,
    /// Y.
    Y,
    /// Z.
    Z,
}

impl From<AxisFile> for Axis {
    fn from(axis: AxisFile) -> Self {
        match axis {
            AxisFile::X => Axis::X,
            AxisFile::Y => Axis::Y,
            AxisFile::Z => Axis::Z,
        }
    }
}

/// An axis with a sense.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[schemars(rename = "Direction")]
pub(crate) enum DirectionFile {
    /// Along X.
    #[serde(rename = "+x")]
    PlusX,
    /// Against X.
    #[serde(rename = "-x")]
    MinusX,
    /// Along Y.
    #[serde(rename = "+y")]
    PlusY,
    /// Against Y.
    #[serde(rename = "-y")]
    MinusY,
    /// Along Z.
    #[serde(rename = "+z")]
    PlusZ,
    /// Against Z.
    #[serde(rename = "-z")]
    MinusZ,
}

impl From<DirectionFile> for Direction {
    fn from(direction: DirectionFile) -> Self {
        match direction {
            DirectionFile::PlusX => Direction::new(Axis::X, true),
            DirectionFile::MinusX => Direction::new(Axis::X, false),
            DirectionFile::PlusY => Direction::new(Axis::Y, true),
            DirectionFile::MinusY => Direction::new(Axis::Y, false),
            DirectionFile::PlusZ => Direction::new(Axis::Z, true),
            DirectionFile::MinusZ => Direction::new(Axis::Z, false),
        }
    }
}

/// A block square to the axes.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Box")]
pub(crate) struct BoxFile {
    /// Lowest corner x, y, z; file units.
    pub(crate) min: [f64; 3],
    /// Highest corner x, y, z; file units. Each must be greater than the lowest.
    pub(crate) max: [f64; 3],
}

/// A cylinder parallel to an axis.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Cylinder")]
pub(crate) struct CylinderFile {
    /// Direction of its axis.
    pub(crate) axis: AxisFile,
    /// A point on its axis x, y, z; file units. The component along the axis has no meaning.
    pub(crate) center: [f64; 3],
    /// Diameter; file units, greater than 0.
    pub(crate) diameter: f64,
    /// Lower end along the axis; file units.
    pub(crate) from: f64,
    /// Upper end along the axis; file units, greater than `from`.
    pub(crate) to: f64,
}

/// The name of another file (looked up beside this one), or what would stand in it.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(untagged)]
pub(crate) enum InPlaceOr<T> {
    /// Name of a file, relative to this one.
    File(String),
    /// The contents, in place. Its `units` may be left out: they are then those of this file.
    InPlace(Box<T>),
}

/// Values by name, in the order of the file.
#[derive(Clone, Debug)]
pub(crate) struct Named<T>(pub(crate) Vec<(String, T)>);

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Named<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Collect<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Collect<T> {
            type Value = Named<T>;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("values by name")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut all = Vec::new();
                while let Some(entry) = map.next_entry()? {
                    all.push(entry);
                }
                Ok(Named(all))
            }
        }
        deserializer.deserialize_map(Collect(PhantomData))
    }
}

impl<T: JsonSchema> JsonSchema for Named<T> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        format!("Named_{}", T::schema_name()).into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "object", "additionalProperties": generator.subschema_for::<T>() })
    }
}
