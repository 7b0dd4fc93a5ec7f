//! The demo as files in memory, for tests.

use super::{Disk, Session, State};
use proofcut_core::job::Files;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Files in memory that can be written anew.
pub(crate) struct Shelf {
    files: Mutex<BTreeMap<String, (String, u128)>>,
}

impl Shelf {
    /// The demo, with the files of one of its mistakes over it, and rays far apart.
    pub(crate) fn demo(mistake: Option<&str>) -> Arc<Self> {
        let jobs =
            Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the workspace").join("fixtures/jobs");
        let mut files = BTreeMap::new();
        let folders = [Some("pivot-block".to_owned()), mistake.map(|m| format!("pivot-block-mistakes/{m}"))];
        for folder in folders.into_iter().flatten() {
            for file in std::fs::read_dir(jobs.join(folder)).expect("the demo").flatten() {
                let text = std::fs::read_to_string(file.path()).expect("text");
                let text = text.replace("../../pivot-block/", "");
                let text = text.replacen("\"proofcut\": 1,", "\"proofcut\": 1, \"spacing\": 0.04,", 1);
                files.insert(file.file_name().to_string_lossy().into_owned(), (text, 0));
            }
        }
        // Only the job file has a spacing.
        for (name, (text, _)) in &mut files {
            if name != "job.json" {
                *text = text.replacen(" \"spacing\": 0.04,", "", 1);
            }
        }
        Arc::new(Self { files: Mutex::new(files) })
    }

    pub(crate) fn text(&self, name: &str) -> String {
        self.files.lock().expect("files")[name].0.clone()
    }

    pub(crate) fn write(&self, name: &str, text: String) {
        let mut files = self.files.lock().expect("files");
        let mark = files.get(name).map_or(0, |(_, mark)| mark + 1);
        files.insert(name.to_owned(), (text, mark));
    }
}

impl Files for Shelf {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        let files = self.files.lock().expect("files");
        files
            .get(path)
            .map(|(text, _)| text.clone().into_bytes())
            .ok_or_else(|| "there is no such file".to_owned())
    }
}

impl Disk for Shelf {
    fn mark(&self, path: &str) -> Option<u128> {
        self.files.lock().expect("files").get(path).map(|(_, mark)| *mark)
    }
}

/// A session on a shelf, at its first state that is not `not`.
pub(crate) fn wait(session: &mut Session, not: State) {
    let begun = Instant::now();
    while session.state() == not {
        assert!(begun.elapsed() < Duration::from_secs(120), "{not:?} for ever");
        session.poll();
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// A session with a checked job.
pub(crate) fn checked(shelf: &Arc<Shelf>) -> Session {
    let disk: Arc<dyn Disk> = Arc::<Shelf>::clone(shelf);
    let mut session = Session::new("job.json", disk, Arc::new(|| {}));
    assert_eq!(session.state(), State::Computing);
    wait(&mut session, State::Computing);
    session
}
