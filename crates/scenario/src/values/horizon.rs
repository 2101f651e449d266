//! The skyline.

use crate::complaint::ComplaintKind;
use crate::reader::{Node, Reader};
use crate::value::{Form, Item, Shape, Value};
use crate::values::elements;
use toml::de::DeValue;
use units::Angle;

/// The skyline: what stands below it can't be seen.
#[derive(Clone, Debug, PartialEq)]
pub enum Horizon {
    /// The same altitude all round.
    Level(Angle),
    /// Azimuth (north through east, from 0° to below 360°, rising) and altitude; straight lines between, round the circle.
    Points(Vec<[Angle; 2]>),
}

/// A skyline with more corners than this is a drawing mistake.
const POINTS_MOST: usize = 720;

impl Value for Horizon {
    fn read(node: &Node, reader: &mut Reader) -> Option<Self> {
        if !matches!(node.value, DeValue::Array(_)) {
            return Angle::read(node, reader).map(Self::Level);
        }
        let points: Vec<[Angle; 2]> = elements(node, reader, "write a list of [azimuth, altitude] pairs")?;
        let inside = |point: &[Angle; 2]| (0.0..360.0).contains(&point[0].degrees());
        let problem = if points.is_empty() || points.len() > POINTS_MOST {
            format!("the skyline has {} points", points.len())
        } else if !points.iter().all(inside) {
            "an azimuth of the skyline is outside 0 to 360 deg".to_owned()
        } else if !points.windows(2).all(|two| two[0][0] < two[1][0]) {
            "the azimuths of the skyline don't rise".to_owned()
        } else {
            return Some(Self::Points(points));
        };
        let expected = format!(
            "write 1 to {POINTS_MOST} pairs by rising azimuth, such as [[\"0 deg\", \"8 deg\"], [\"90 deg\", \"20 deg\"]]"
        );
        reader.at(node, ComplaintKind::OutOfRange, problem, expected);
        None
    }

    fn print(&self, form: Form) -> Item {
        match self {
            Self::Level(altitude) => altitude.print(form),
            Self::Points(points) => points.print(form),
        }
    }

    fn shape() -> Shape {
        Shape::Either(vec![Angle::shape(), Shape::List(Box::new(<[Angle; 2]>::shape()), 1)])
    }

    fn within(&self, low: &str, high: &str) -> bool {
        match self {
            Self::Level(altitude) => altitude.within(low, high),
            Self::Points(points) => points.iter().all(|point| point[1].within(low, high)),
        }
    }

    fn number(&self) -> Option<f64> {
        match self {
            Self::Level(altitude) => altitude.number(),
            Self::Points(_) => None,
        }
    }

    fn from_number(value: f64) -> Option<Self> {
        Angle::from_number(value).map(Self::Level)
    }

    fn bound(text: &str) -> Option<f64> {
        Angle::bound(text)
    }

    fn usual_unit() -> (&'static str, f64) {
        Angle::usual_unit()
    }
}
