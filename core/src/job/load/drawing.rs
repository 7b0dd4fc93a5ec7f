use super::desk::Desk;
use super::feature::features;
use super::load_mesh;
use super::values::Values;
use crate::geom::Vec3;
use crate::job::file::{DimensionFile, DimensionKindFile, DrawingFile, EdgeBreakFile};
use crate::job::text::{At, Reports};
use crate::job::{Dimension, DimensionKind, Drawing, EdgeBreak, Tolerance, kinds};
use crate::units::Unit;
use std::collections::BTreeMap;

/// The drawing of a file, or of an object in a job file whose unit is `outer`.
pub(super) fn drawing(file: &DrawingFile, at: &At, outer: Unit, desk: &mut Desk) -> Drawing {
    let unit = file.units.map_or(outer, Unit::from);
    let mut values = Values { unit, reports: &mut desk.reports };
    let general_at = at.field("general_tolerance");
    let general_tolerance = file.general_tolerance.as_ref().map(|t| values.tolerance(t, &general_at));
    let break_at = at.field("break_edges");
    let break_edges = file.break_edges.as_ref().map(|b| edge_break(b, &break_at, &mut values));
    let feature_files = file.features.as_deref().unwrap_or(&[]);
    let features = features(feature_files, &at.field("features"), break_edges, &mut values);
    let at_dimensions = at.field("dimensions");
    let dimension_files = file.dimensions.as_deref().unwrap_or(&[]);
    unique_ids(dimension_files.iter().map(|d| d.id.as_str()), &at_dimensions, "dimension", values.reports);
    let dimensions = dimension_files.iter().enumerate();
    let dimensions = dimensions
        .map(|(i, d)| dimension(d, &at_dimensions.item(i), general_tolerance, &mut values))
        .collect();
    let mesh = file.mesh.as_ref().and_then(|m| load_mesh(m, &at.field("mesh"), unit, Vec3::zeros(), desk));
    if file.mesh.is_none() && feature_files.is_empty() {
        let message = format!("{} has neither features nor a mesh", at.source().name());
        let help = "add the features of the part, or take the drawing out of the job";
        desk.reports.fault(kinds::EMPTY_LIST, at, message, "", help);
    }
    Drawing {
        name: file.name.clone(),
        revision: file.revision.clone(),
        unit,
        general_tolerance,
        break_edges,
        features,
        dimensions,
        mesh,
    }
}

fn edge_break(file: &EdgeBreakFile, at: &At, values: &mut Values) -> EdgeBreak {
    let tolerance = Tolerance {
        plus: values.length(file.plus, &at.field("plus")),
        minus: values.length(file.minus, &at.field("minus")),
    };
    values.zone(tolerance, at);
    EdgeBreak { leg: values.positive(file.leg, &at.field("leg")), tolerance }
}

/// Reports every `id` that stood before in the same list.
pub(super) fn unique_ids<'i>(ids: impl Iterator<Item = &'i str>, at: &At, what: &str, reports: &mut Reports) {
    let mut first_use = BTreeMap::new();
    for (index, id) in ids.enumerate() {
        let id_at = at.item(index).field("id");
        if let Some(first) = first_use.get(id) {
            let message = format!("{what} \"{id}\" is given twice");
            let help = "give each its own id, as it stands on the print";
            reports.fault_against(
                kinds::DUPLICATE,
                (&id_at, "again here"),
                (first, "first here"),
                message,
                help,
            );
        } else {
            first_use.insert(id, id_at);
        }
    }
}

fn dimension(file: &DimensionFile, at: &At, general: Option<Tolerance>, values: &mut Values) -> Dimension {
    let is_line = file.kind == DimensionKindFile::Line;
    let nominal = file.nominal.map(|n| values.positive(n, &at.field("nominal")));
    let tolerance = if is_line { None } else { size_tolerance(file, at, general, values) };
    if is_line {
        let given = [("nominal", file.nominal), ("plus", file.plus), ("minus", file.minus)]
            .into_iter()
            .filter(|f| f.1.is_some());
        for (name, _) in given {
            not_of_kind(&at.field(name), &at.field("kind"), "a line has no nominal size", values);
        }
    } else if file.nominal.is_none() {
        missing(at, "nominal", "add the size as it stands on the print", values);
    }
    Dimension {
        id: file.id.clone(),
        kind: dimension_kind(file, at, values),
        along: file.along.into(),
        nominal,
        tolerance,
        place: at.field("id").place(),
    }
}

fn dimension_kind(file: &DimensionFile, at: &At, values: &mut Values) -> DimensionKind {
    let at_field = at.field("at");
    if file.kind == DimensionKindFile::Overall {
        if file.at.is_some() {
            not_of_kind(&at_field, &at.field("kind"), "an overall size has no point", values);
        }
        return DimensionKind::Overall;
    }
    let point = if let Some(point) = file.at {
        values.point(point, &at_field)
    } else {
        missing(at, "at", "add a point [x, y, z] inside what is measured", values);
        Vec3::zeros()
    };
    match file.kind {
        DimensionKindFile::Overall => DimensionKind::Overall,
        DimensionKindFile::Thickness => DimensionKind::Thickness { at: point },
        DimensionKindFile::Gap => DimensionKind::Gap { at: point },
        DimensionKindFile::Line => DimensionKind::Line { at: point },
    }
}

fn size_tolerance(
    file: &DimensionFile,
    at: &At,
    general: Option<Tolerance>,
    values: &mut Values,
) -> Option<Tolerance> {
    let one = |value: Option<f64>, name: &str, general: Option<f64>, values: &mut Values| match value {
        Some(value) => Some(values.length(value, &at.field(name))),
        None if general.is_some() => general,
        None => {
            missing(at, name, "add the permitted deviation, or a general_tolerance to the drawing", values);
            None
        }
    };
    let plus = one(file.plus, "plus", general.map(|g| g.plus), values);
    let minus = one(file.minus, "minus", general.map(|g| g.minus), values);
    let tolerance = Tolerance { plus: plus?, minus: minus? };
    values.zone(tolerance, &if file.plus.is_some() { at.field("plus") } else { at.field("minus") });
    Some(tolerance)
}

/// A field that only this kind of entry needs is missing.
pub(super) fn missing(at: &At, name: &str, help: &str, values: &mut Values) {
    let message = format!("{} has no \"{name}\"", at.path());
    values.reports.fault(kinds::MISSING_FIELD, at, message, &format!("\"{name}\" belongs here"), help);
}

/// A field that this kind of entry does not have.
pub(super) fn not_of_kind(field: &At, kind: &At, why: &str, values: &mut Values) {
    let message = format!("{} does not belong here: {why}", field.path());
    values.reports.fault_against(
        kinds::FIELD_OF_OTHER_KIND,
        (&field.named(), "not for this kind"),
        (kind, "the kind"),
        message,
        "take it out, or correct the kind",
    );
}
