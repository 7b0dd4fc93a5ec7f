//! Specs in markdown: prose, then cases that change the base job and say what must be found.
//! `tests/specs/README.md` describes the format.

use crate::patch::{merge, merge_at};
use crate::repository;
use proofcut_core::findings::Finding;
use proofcut_core::job::MemoryFiles;
use proofcut_core::source::{Diagnostic, Severity};
use serde_json::Value;

/// One spec file.
#[derive(Clone, Debug)]
pub struct Spec {
    /// The kind that its title names.
    pub kind: String,
    /// Its cases, at least one.
    pub cases: Vec<Case>,
}

/// One job and what must be found in it.
#[derive(Clone, Debug)]
pub struct Case {
    /// Its heading.
    pub name: String,
    /// What changes the base job, in order.
    pub blocks: Vec<Block>,
    /// Every finding that must come; nothing else may.
    pub expect: Vec<Expected>,
}

/// A fenced block that changes the job.
#[derive(Clone, Debug)]
pub struct Block {
    /// First word behind the fence.
    pub word: String,
    /// The rest of that line.
    pub argument: String,
    /// The text inside.
    pub text: String,
}

/// One line of an `expect` block.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Expected {
    /// `fault rapid-into-stock top.nc:12 T1`.
    pub line: String,
    /// Words that must stand in the finding; may be empty.
    pub words: String,
}

/// Something found, as a spec compares it.
#[derive(Clone, Debug)]
pub struct Found {
    /// `fault rapid-into-stock top.nc:12 T1`.
    pub line: String,
    /// Message, notes and help.
    pub words: String,
}

impl Spec {
    /// Reads a spec.
    ///
    /// # Errors
    /// A sentence about what is wrong with the file.
    pub fn parse(text: &str) -> Result<Self, String> {
        let mut reader = Reader::default();
        let mut lines = text.lines();
        while let Some(line) = lines.next() {
            if let Some(info) = line.strip_prefix("```") {
                let body: Vec<&str> = lines.by_ref().take_while(|l| *l != "```").collect();
                reader.block(info, &body)?;
            } else if let Some(heading) = line.strip_prefix("## ") {
                reader.begin(heading)?;
            } else if let Some(title) = line.strip_prefix("# ") {
                title.trim().clone_into(&mut reader.kind);
            }
        }
        reader.end()
    }
}

#[derive(Default)]
struct Reader {
    kind: String,
    common: Vec<Block>,
    heading: Option<String>,
    blocks: Vec<Block>,
    expect: Option<Vec<Expected>>,
    cases: Vec<Case>,
}

impl Reader {
    fn block(&mut self, info: &str, body: &[&str]) -> Result<(), String> {
        let (word, argument) = info.trim().split_once(' ').unwrap_or((info.trim(), ""));
        if word == "expect" {
            if self.expect.is_some() {
                return Err(format!("two expect blocks in one case: {}", body.join(" | ")));
            }
            let lines = body.iter().map(|l| l.trim()).filter(|l| !l.is_empty() && *l != "nothing");
            self.expect = Some(lines.map(Expected::parse).collect::<Result<_, _>>()?);
            return Ok(());
        }
        let mut text = body.join("\n");
        text.push('\n');
        self.blocks.push(Block { word: word.to_owned(), argument: argument.trim().to_owned(), text });
        Ok(())
    }

    /// Closes what came before a heading and begins the next case.
    fn begin(&mut self, heading: &str) -> Result<(), String> {
        if self.heading.is_none() && self.expect.is_none() {
            self.common = std::mem::take(&mut self.blocks);
        } else {
            self.close()?;
        }
        self.heading = Some(heading.trim().to_owned());
        Ok(())
    }

    fn close(&mut self) -> Result<(), String> {
        let name = self.heading.take().unwrap_or_else(|| "first".to_owned());
        let expect = self
            .expect
            .take()
            .ok_or_else(|| format!("case `{name}` expects nothing at all: no expect block"))?;
        let mut blocks = self.common.clone();
        blocks.append(&mut self.blocks);
        self.cases.push(Case { name, blocks, expect });
        Ok(())
    }

    fn end(mut self) -> Result<Spec, String> {
        self.close()?;
        if self.kind.is_empty() {
            return Err("no title `# kind`".to_owned());
        }
        Ok(Spec { kind: self.kind, cases: self.cases })
    }
}

impl Expected {
    fn parse(line: &str) -> Result<Self, String> {
        let (head, words) = line.split_once('"').unwrap_or((line, ""));
        let fields: Vec<&str> = head.split_whitespace().collect();
        let severity = fields.first().copied().unwrap_or("");
        let known = [Severity::Note, Severity::Warning, Severity::Fault, Severity::Unproven];
        if fields.len() != 4 || !known.iter().any(|s| s.word() == severity) {
            return Err(format!("not `severity kind file:line tool`: {line}"));
        }
        Ok(Self { line: fields.join(" "), words: words.trim_end_matches('"').to_owned() })
    }

    /// True when a finding is the one meant here.
    pub fn is_met_by(&self, found: &Found) -> bool {
        self.line == found.line && self.words.split("\" \"").all(|words| found.words.contains(words))
    }
}

impl Found {
    /// A finding, as a spec compares it.
    pub fn of(finding: &Finding) -> Self {
        let place = finding.file_and_line().unwrap_or_else(|| "-".to_owned());
        let tool = finding.tool.map_or_else(|| "-".to_owned(), |t| format!("T{t}"));
        Self::new(&finding.diagnostic, &place, &tool)
    }

    /// An input mistake, as a spec compares it.
    pub fn of_input(diagnostic: &Diagnostic) -> Self {
        let place = diagnostic.labels.first().map_or_else(
            || "-".to_owned(),
            |l| format!("{}:{}", l.source.name(), l.source.place(l.span.start).line),
        );
        Self::new(diagnostic, &place, "-")
    }

    fn new(d: &Diagnostic, place: &str, tool: &str) -> Self {
        let mut words = d.message.clone();
        for more in d.notes.iter().chain(&d.help).chain(d.labels.iter().map(|l| &l.text)) {
            words.push('\n');
            words.push_str(more);
        }
        Self { line: format!("{} {} {place} {tool}", d.severity.word(), d.kind), words }
    }
}

impl Case {
    /// The files of this case's job; the job file is `job.json`.
    ///
    /// # Errors
    /// A sentence about a block that does not fit the base job.
    pub fn files(&self) -> Result<MemoryFiles, String> {
        let (mut job, mut files) = base()?;
        for block in &self.blocks {
            block.apply(&mut job, &mut files).map_err(|e| format!("{} block: {e}", block.word))?;
        }
        files.insert("job.json", format!("{job:#}\n"));
        Ok(files)
    }

    /// What is wrong, in lines that a reader can act on; `None` when exactly what is expected was found.
    pub fn difference(&self, found: &[Found]) -> Option<String> {
        let mut rest: Vec<&Found> = found.iter().collect();
        let mut lines = Vec::new();
        for expected in &self.expect {
            if let Some(i) = rest.iter().position(|f| expected.is_met_by(f)) {
                rest.remove(i);
            } else {
                let words = if expected.words.is_empty() {
                    String::new()
                } else {
                    format!(" \"{}\"", expected.words)
                };
                lines.push(format!("  - expected: {}{words}", expected.line));
            }
        }
        for f in rest {
            lines.push(format!("  + found:    {}\n        {}", f.line, f.words.replace('\n', "\n        ")));
        }
        (!lines.is_empty()).then(|| lines.join("\n"))
    }
}

impl Block {
    fn apply(&self, job: &mut Value, files: &mut MemoryFiles) -> Result<(), String> {
        let json = || serde_json::from_str::<Value>(&self.text).map_err(|e| e.to_string());
        match self.word.as_str() {
            "job" => merge_at(job, &self.argument, &json()?),
            "tool" => {
                let number: u64 = self.argument.parse().map_err(|_| "no tool number".to_owned())?;
                let tools = job.pointer_mut("/tools/tools").and_then(Value::as_array_mut);
                let mut tools = tools.into_iter().flatten();
                let tool = tools.find(|t| t.get("number").and_then(Value::as_u64) == Some(number));
                merge(tool.ok_or_else(|| format!("the base job has no T{number}"))?, &json()?);
                Ok(())
            }
            "drawing" => merge_at(job, "", &serde_json::json!({ "drawing": json()? })),
            "program" | "file" if !self.argument.is_empty() => {
                files.insert(self.argument.clone(), self.text.clone());
                Ok(())
            }
            _ => Err("not one of job, tool N, drawing, program NAME, file NAME, expect".to_owned()),
        }
    }
}

/// The base job with machine and tools inside it, and its programs.
fn base() -> Result<(Value, MemoryFiles), String> {
    let folder = repository::root().join("tests/specs/base");
    let json = |name: &str| {
        let text = repository::read(&folder.join(name))?;
        serde_json::from_str::<Value>(&text).map_err(|e| format!("base {name}: {e}"))
    };
    let mut job = json("job.json")?;
    merge(&mut job, &serde_json::json!({ "machine": null, "tools": null }));
    let inside = serde_json::json!({ "machine": json("machine.json")?, "tools": json("tools.json")? });
    merge(&mut job, &inside);
    let mut files = MemoryFiles::default();
    files.insert("top.nc", repository::read(&folder.join("top.nc"))?);
    Ok((job, files))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proofcut_core::job::Files;

    const TWO: &str = "# some-kind\nProse.\n```tool 2\n{\"stickout\": 50}\n```\n## one\n```program top.nc\nG0\nX1\n```\n```expect\nfault some-kind top.nc:2 T1 \"too deep\"\n```\n## other\n```job /setups/0\n{\"name\": \"Other\"}\n```\n```expect\nnothing\n```\n";

    #[test]
    fn common_blocks_reach_every_case_and_change_the_base_job() {
        let spec = Spec::parse(TWO).unwrap();
        assert_eq!((spec.kind.as_str(), spec.cases.len()), ("some-kind", 2));
        let files = spec.cases[1].files().unwrap();
        let job: Value = serde_json::from_slice(&files.read("job.json").unwrap()).unwrap();
        assert_eq!(job.pointer("/setups/0/name").unwrap(), "Other");
        assert_eq!(job.pointer("/setups/0/up").unwrap(), "+z");
        assert_eq!(job.pointer("/tools/tools/1/stickout").unwrap(), 50);
        assert_eq!(spec.cases[0].files().unwrap().read("top.nc").unwrap(), b"G0\nX1\n");
    }

    #[test]
    fn a_difference_names_what_is_missing_and_what_is_too_much() {
        let spec = Spec::parse(TWO).unwrap();
        let case = &spec.cases[0];
        let found = |line: &str, words: &str| Found { line: line.to_owned(), words: words.to_owned() };
        let right = found("fault some-kind top.nc:2 T1", "1 mm too deep");
        assert_eq!(case.difference(std::slice::from_ref(&right)), None);
        let twice = case.difference(&[right.clone(), right]).unwrap();
        assert!(twice.contains("+ found") && !twice.contains("- expected"), "{twice}");
        let wrong = case.difference(&[found("fault some-kind top.nc:3 T1", "1 mm too deep")]).unwrap();
        assert!(wrong.contains("- expected") && wrong.contains("+ found"), "{wrong}");
    }

    #[test]
    fn a_spec_that_expects_nothing_in_particular_is_refused() {
        assert!(Spec::parse("# k\n```program top.nc\nG0\n```\n").is_err());
        assert!(Spec::parse("# k\n```expect\nfault k\n```\n").is_err());
        assert!(Spec::parse("# k\n```expect\ngrave k a.nc:1 T1\n```\n").is_err());
    }
}
