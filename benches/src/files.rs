//! Files of a job, on disk or made up here.

use proofcut_core::job::Files;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Files of a folder.
pub struct Folder(pub PathBuf);

impl Files for Folder {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        std::fs::read(self.0.join(path)).map_err(|why| why.to_string())
    }
}

/// Files that were made up here, by name.
pub struct MadeUp(BTreeMap<&'static str, String>);

impl MadeUp {
    /// One setup with `program` on a 100 x 60 x 20 mm block whose top is Z0, cut with rays `spacing` mm apart.
    pub(crate) fn new(name: &str, spacing: f64, program: String) -> Self {
        let job = format!(
            r#"{{
  "proofcut": 1, "name": "{name}", "units": "mm", "machine": "mill.json", "tools": "tools.json",
  "stock": {{"box": {{"min": [0, 0, -20], "max": [100, 60, 0]}}}}, "spacing": {spacing},
  "setups": [{{"name": "top", "program": "program.nc", "up": "+z", "right": "+x", "zeros": {{"G54": [0, 0, 0]}},
    "workholding": []}}]
}}
"#
        );
        Self(BTreeMap::from([
            ("job.json", job),
            ("mill.json", MACHINE.to_owned()),
            ("tools.json", TOOLS.to_owned()),
            ("program.nc", program),
        ]))
    }

    /// The program's text.
    pub fn program(&self) -> &str {
        self.0.get("program.nc").map_or("", String::as_str)
    }

    /// Writes the files into a folder, which is made if need be.
    ///
    /// # Errors
    /// When the folder or a file cannot be written.
    pub fn write(&self, folder: &Path) -> std::io::Result<()> {
        std::fs::create_dir_all(folder)?;
        self.0.iter().try_for_each(|(name, text)| std::fs::write(folder.join(name), text))
    }
}

impl Files for MadeUp {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        self.0.get(path).map(|text| text.clone().into_bytes()).ok_or_else(|| format!("no {path} here"))
    }
}

const MACHINE: &str = r#"{
  "name": "bench", "units": "mm",
  "travel": {"x": [-500, 500], "y": [-400, 400], "z": [-500, 0]}, "rapid": {"x": 20000, "y": 20000, "z": 15000},
  "max_feed": 10000, "acceleration": {"x": 1500, "y": 1500, "z": 1500},
  "spindle": {"max_rpm": 12000, "min_rpm": 100},
  "changer": {"kind": "carousel", "pockets": 10, "seconds": 5, "same_pocket_return": true},
  "control": {"number_without_point": "units", "arc_centers": "incremental", "rapid_path": "straight"}
}
"#;

const TOOLS: &str = r#"{"units": "mm", "tools": [
  {"number": 1, "name": "10 mm end mill", "kind": "end-mill", "diameter": 10, "flutes": 3, "flute_length": 25,
   "shank_diameter": 10, "stickout": 35, "holder": [{"diameter": 28, "length": 40}]},
  {"number": 2, "name": "10 mm ball mill", "kind": "ball-mill", "diameter": 10, "flutes": 2, "flute_length": 25,
   "shank_diameter": 10, "stickout": 35, "holder": [{"diameter": 28, "length": 40}]},
  {"number": 3, "name": "6 mm spot drill", "kind": "spot-drill", "diameter": 6, "point_angle": 90, "flutes": 2,
   "flute_length": 20, "shank_diameter": 6, "stickout": 30, "holder": [{"diameter": 20, "length": 40}]},
  {"number": 4, "name": "5 mm drill", "kind": "drill", "diameter": 5, "point_angle": 118, "flutes": 2,
   "flute_length": 52, "shank_diameter": 5, "stickout": 60, "holder": [{"diameter": 20, "length": 40}]},
  {"number": 5, "name": "8 mm chamfer mill", "kind": "chamfer-mill", "diameter": 8, "tip_diameter": 1,
   "included_angle": 90, "flutes": 4, "flute_length": 3.5, "shank_diameter": 8, "stickout": 30,
   "holder": [{"diameter": 20, "length": 40}]}
]}
"#;
