//! What the measurements share: files, a made-up pocket, memory figures.

use proofcut_core::job::Files;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::hint::black_box;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// Files of a folder.
pub struct Folder(pub PathBuf);

impl Files for Folder {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        std::fs::read(self.0.join(path)).map_err(|why| why.to_string())
    }
}

/// Files that were made up here.
pub struct MadeUp(pub BTreeMap<&'static str, String>);

impl Files for MadeUp {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        self.0.get(path).map(|text| text.clone().into_bytes()).ok_or_else(|| format!("no {path} here"))
    }
}

const MACHINE: &str = r#"{"name": "bench", "units": "mm",
  "travel": {"x": [-500, 500], "y": [-400, 400], "z": [-500, 0]}, "rapid": {"x": 20000, "y": 20000, "z": 15000},
  "max_feed": 10000, "acceleration": {"x": 1500, "y": 1500, "z": 1500},
  "spindle": {"max_rpm": 12000, "min_rpm": 100},
  "changer": {"kind": "carousel", "pockets": 10, "seconds": 5, "same_pocket_return": true},
  "control": {"number_without_point": "units"}}"#;

const TOOLS: &str = r#"{"units": "mm", "tools": [
  {"number": 1, "name": "10 mm end mill", "kind": "end-mill", "diameter": 10, "flutes": 3, "flute_length": 25,
   "shank_diameter": 10, "stickout": 35, "holder": [{"diameter": 28, "length": 40}]},
  {"number": 2, "name": "10 mm ball mill", "kind": "ball-mill", "diameter": 10, "flutes": 2, "flute_length": 25,
   "shank_diameter": 10, "stickout": 35, "holder": [{"diameter": 28, "length": 40}]}]}"#;

fn job(spacing: f64) -> String {
    format!(
        r#"{{"proofcut": 1, "name": "pocket", "units": "mm", "machine": "mill.json", "tools": "tools.json",
  "stock": {{"box": {{"min": [0, 0, -20], "max": [100, 60, 0]}}}}, "spacing": {spacing},
  "setups": [{{"name": "top", "program": "pocket.nc", "up": "+z", "right": "+x", "zeros": {{"G54": [0, 0, 0]}}, "workholding": []}}]}}"#
    )
}

/// A job that clears pockets in a 100 x 60 x 20 mm block with `moves` moves of 0.3 mm: rows 4 mm apart, a level 0.5 mm
/// deeper each time the pocket is full. `ball`: with a ball mill whose Z follows a wave, so that no move is level.
pub fn pocket(moves: usize, spacing: f64, ball: bool) -> MadeUp {
    let mut text = format!(
        "G21 G17 G40 G49 G80 G90 G54\nT{} M6\nS8000 M3\nG0 X8. Y8.\nG43 H1 Z5.\n",
        1 + u8::from(ball)
    );
    let (mut x, mut y, mut level, mut way) = (8.0, 8.0, -0.5, 0.3);
    let z = |x: f64, y: f64, level: f64| {
        if ball { level + 0.4 * (0.3 * x).sin() * (0.4 * y).cos() } else { level }
    };
    let _ = writeln!(text, "G1 Z{:.4} F500.", z(x, y, level));
    for _ in 0..moves {
        if (way > 0.0 && x + way > 92.0) || (way < 0.0 && x + way < 8.0) {
            way = -way;
            y += 4.0;
            if y > 52.0 {
                y = 8.0;
                level -= 0.5;
            }
        } else {
            x += way;
        }
        let _ = writeln!(text, "X{x:.4} Y{y:.4} Z{:.4}", z(x, y, level));
    }
    text.push_str("G0 Z50.\nM30\n");
    MadeUp(BTreeMap::from([
        ("job.json", job(spacing)),
        ("mill.json", MACHINE.to_owned()),
        ("tools.json", TOOLS.to_owned()),
        ("pocket.nc", text),
    ]))
}

/// Time of the fastest of a few runs.
pub fn fastest<T>(runs: usize, mut work: impl FnMut() -> T) -> Duration {
    let once = |work: &mut dyn FnMut() -> T| {
        let start = Instant::now();
        black_box(work());
        start.elapsed()
    };
    (0..runs.max(1)).map(|_| once(&mut work)).min().unwrap_or_default()
}

/// Processor time that all threads of the process have used so far, seconds (in steps of 10 ms); tells the work done
/// even where other processes share the processor. `None` where the system does not tell.
pub fn processor_seconds() -> Option<f64> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    let mut fields = stat.rsplit_once(')')?.1.split_whitespace().skip(11);
    let mut ticks = || fields.next()?.parse::<u32>().ok();
    Some(f64::from(ticks()? + ticks()?) / 100.0)
}

/// Most memory that the process has held so far, MB; `None` where the system does not tell.
pub fn peak_megabytes() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<u64>().ok()? / 1024)
}

/// Bandwidth of reading, changing and writing back 256 MB of 32-bit numbers with one thread, bytes moved per second.
pub fn memory_roof() -> f64 {
    let mut numbers = vec![1_i32; 64 << 20];
    let time = fastest(5, || {
        for n in &mut numbers {
            *n = n.wrapping_add(3);
        }
        black_box(numbers.first().copied())
    });
    2.0 * 4.0 * f64::from(64 << 20) / time.as_secs_f64()
}

/// Name of the processor, if the system tells it.
pub fn processor() -> String {
    let info = std::fs::read_to_string("/proc/cpuinfo").unwrap_or_default();
    let line = info.lines().find(|l| l.starts_with("model name"));
    line.and_then(|l| l.split(": ").nth(1)).unwrap_or("unknown").to_owned()
}
