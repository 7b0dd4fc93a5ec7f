use super::{Item, Kind, Look, Mesh, Scene};
use crate::camera::Ray;
use glam::{Mat4, Vec3};

/// What a ray meets first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hit {
    /// Index into [`Scene::items`].
    pub item: usize,
    /// What was met.
    pub kind: Kind,
    /// Index into the item's meshes.
    pub mesh: usize,
    /// Index into the mesh's triangles.
    pub triangle: usize,
    /// Where, world frame.
    pub at: Vec3,
    /// Distance along the ray, millimetres.
    pub distance: f32,
}

/// The first solid that a ray meets: neither hidden nor see-through, and not cut away by a section plane (`plane`: the
/// side on which `plane.dot((x, y, z, 1)) > 0` is cut away from what is sectioned). `None` when it meets none.
pub fn pick(scene: &Scene, ray: &Ray, plane: Option<glam::Vec4>) -> Option<Hit> {
    let mut best: Option<Hit> = None;
    for (index, item) in scene.items.iter().enumerate().filter(|(_, i)| i.look == Look::Solid) {
        let mesh_from_world = item.world_from_mesh.inverse();
        let cut = plane.filter(|_| item.sectioned);
        let own = Ray {
            origin: mesh_from_world.transform_point3(ray.origin),
            direction: mesh_from_world.transform_vector3(ray.direction),
        };
        for (number, mesh) in item.meshes.iter().enumerate() {
            let limit = best.map_or(f32::INFINITY, |b| b.distance);
            let meets = mesh.bounds.grown(1.0e-4).met_by(own.origin, own.direction);
            if !meets.is_some_and(|(near, _)| near < limit) {
                continue;
            }
            if let Some((triangle, distance)) = first(mesh, &own, limit, cut, &item.world_from_mesh) {
                let at = ray.origin + ray.direction * distance;
                best = Some(Hit { item: index, kind: item.kind, mesh: number, triangle, at, distance });
            }
        }
    }
    best
}

/// Unit normal of the triangle that was met, world frame; `None` for one without area.
pub fn geometric_normal(scene: &Scene, hit: &Hit) -> Option<Vec3> {
    let item = scene.items.get(hit.item)?;
    let mesh = item.meshes.get(hit.mesh)?;
    let [a, b, c] = mesh.corners(*mesh.triangles.get(hit.triangle)?);
    item.world_from_mesh.transform_vector3((b - a).cross(c - a)).try_normalize()
}

fn first(
    mesh: &Mesh,
    ray: &Ray,
    mut limit: f32,
    cut: Option<glam::Vec4>,
    place: &Mat4,
) -> Option<(usize, f32)> {
    let mut found = None;
    for (index, triangle) in mesh.triangles.iter().enumerate() {
        let Some(t) = meets(ray, mesh.corners(*triangle)).filter(|t| *t < limit) else { continue };
        let away = |plane: glam::Vec4| {
            plane.dot(place.transform_point3(ray.origin + ray.direction * t).extend(1.0)) > 0.0
        };
        if !cut.is_some_and(away) {
            limit = t;
            found = Some((index, t));
        }
    }
    found
}

/// Distance along a ray to a triangle seen from its front (T. Möller, B. Trumbore, "Fast, Minimum Storage Ray/Triangle
/// Intersection", 1997).
fn meets(ray: &Ray, [a, b, c]: [Vec3; 3]) -> Option<f32> {
    let (u, v) = (b - a, c - a);
    let p = ray.direction.cross(v);
    let volume = u.dot(p);
    if volume <= 0.0 {
        return None;
    }
    let to = ray.origin - a;
    let first = to.dot(p);
    let q = to.cross(u);
    let second = ray.direction.dot(q);
    let inside = 0.0 <= first && 0.0 <= second && first + second <= volume;
    let t = v.dot(q) / volume;
    (inside && t >= 0.0).then_some(t)
}

impl Item {
    /// A place of the world in the frame of the item's meshes.
    pub fn mesh_from_world(&self, at: Vec3) -> Vec3 {
        self.world_from_mesh.inverse().transform_point3(at)
    }
}
