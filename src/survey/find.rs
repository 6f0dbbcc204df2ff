//! Which letters: files, folders with everything below them, archives, lists of paths. Always in
//! the same order: as given, and by name within a folder or archive.

use std::collections::BTreeSet;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use zip::ZipArchive;

use crate::text::file_name;

/// Entries of an archive that are looked at.
const MOST_ENTRIES: usize = 200_000;
/// An entry that unpacks to so many times its size, and to more than [`SMALL`], is a trap.
const RATIO: u64 = 200;
const SMALL: u64 = 4 << 20;
/// Folders in folders.
const DEEPEST: usize = 64;

/// A letter that is to be read.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Its name for people: the path, and within an archive the path of the archive before it.
    pub name: String,
    /// Where it is.
    pub at: At,
}

/// Where a letter is.
#[derive(Clone, Debug)]
pub enum At {
    /// A file.
    File(PathBuf),
    /// In an archive.
    Archive {
        /// The archive.
        archive: Arc<PathBuf>,
        /// Which of its entries.
        index: usize,
    },
    /// In memory.
    Held(Arc<Vec<u8>>),
    /// Nowhere: why it cannot be read.
    Nowhere(String),
}

/// All letters of the paths, then those of the lists. What is `aside` is no letter wherever it
/// lies, nor is what lies in it: the result of the survey, the folder of kept readings.
#[must_use]
pub fn find(paths: &[PathBuf], lists: &[PathBuf], aside: &[PathBuf]) -> Vec<Entry> {
    let mut found = Finder::default();
    for path in aside.iter().chain(lists) {
        found.met.extend(path.canonicalize());
    }
    for path in paths {
        found.path(path, &file_name(path), 0);
    }
    for list in lists {
        found.list(list);
    }
    found.entries
}

#[derive(Default)]
struct Finder {
    entries: Vec<Entry>,
    /// Files and folders that were met, so that no letter counts twice and no loop is walked.
    met: BTreeSet<PathBuf>,
    /// The folder that was named, while what is below it is walked.
    root: Option<PathBuf>,
}

impl Finder {
    fn path(&mut self, path: &Path, name: &str, depth: usize) {
        let real = match path.canonicalize() {
            Ok(real) => real,
            Err(cause) => {
                let why = match cause.kind() {
                    std::io::ErrorKind::NotFound => {
                        "there is no such file; check the name and the folder".to_owned()
                    }
                    std::io::ErrorKind::PermissionDenied => {
                        "may not be read by you; ask its owner for permission".to_owned()
                    }
                    _ => format!("cannot be read: {cause}"),
                };
                self.nowhere(name, why);
                return;
            }
        };
        if depth == 0 {
            self.root = Some(real.clone());
        } else if self.root.as_ref().is_some_and(|r| !real.starts_with(r)) {
            // Whoever may write into the folder could have anything read and printed.
            self.nowhere(
                name,
                "is a link that leads out of the folder; name what it leads to, if you want it read"
                    .to_owned(),
            );
            return;
        }
        if !self.met.insert(real.clone()) {
            return;
        }
        if real.is_dir() {
            self.folder(path, name, depth);
        } else if has_ending(path, "zip") {
            self.archive(path, name);
        } else if real.is_file() || depth == 0 {
            self.entries.push(Entry {
                name: name.to_owned(),
                at: At::File(path.to_owned()),
            });
        } else {
            self.nowhere(name, "is no file (a device or a pipe)".to_owned());
        }
    }

    fn nowhere(&mut self, name: &str, why: String) {
        self.entries.push(Entry {
            name: name.to_owned(),
            at: At::Nowhere(why),
        });
    }

    fn folder(&mut self, path: &Path, name: &str, depth: usize) {
        if depth >= DEEPEST {
            self.nowhere(name, format!("folders deeper than {DEEPEST} are not read"));
            return;
        }
        let listed = std::fs::read_dir(path).and_then(|entries| {
            entries
                .map(|e| e.map(|e| e.file_name()))
                .collect::<Result<Vec<_>, _>>()
        });
        let mut names = match listed {
            Ok(names) => names,
            Err(cause) => {
                self.nowhere(name, format!("the folder cannot be read: {cause}"));
                return;
            }
        };
        names.sort();
        for file in names {
            let shown = file_name(&file);
            if is_no_letter(&shown) {
                continue;
            }
            let name = format!("{}/{shown}", name.trim_end_matches('/'));
            self.path(&path.join(&file), &name, depth + 1);
        }
    }

    fn archive(&mut self, path: &Path, name: &str) {
        let opened = std::fs::File::open(path)
            .map_err(|e| format!("cannot be read: {e}"))
            .and_then(|file| {
                ZipArchive::new(std::io::BufReader::new(file))
                    .map_err(|_| "is a damaged archive; pack it again".to_owned())
            });
        let archive = match opened {
            Ok(archive) => archive,
            Err(why) => {
                self.nowhere(name, why);
                return;
            }
        };
        if archive.len() > MOST_ENTRIES {
            self.nowhere(name, format!("has more than {MOST_ENTRIES} entries"));
            return;
        }
        let shared = Arc::new(path.to_owned());
        let mut members: Vec<(String, usize)> = (0..archive.len())
            .filter_map(|index| Some((archive.name_for_index(index)?.to_owned(), index)))
            .filter(|(member, _)| !member.ends_with('/') && !member.split('/').any(is_no_letter))
            .collect();
        members.sort();
        for (member, index) in members {
            self.entries.push(Entry {
                name: format!("{name}/{member}"),
                at: At::Archive {
                    archive: Arc::clone(&shared),
                    index,
                },
            });
        }
    }

    /// A list names one path a line; relative ones start at the folder of the list. Blank lines
    /// and lines that start with `#` are left out.
    fn list(&mut self, list: &Path) {
        const LONGEST: u64 = 64 << 20;
        let name = file_name(list);
        let mut lines = Vec::new();
        let read =
            std::fs::File::open(list).and_then(|file| file.take(LONGEST).read_to_end(&mut lines));
        if let Err(cause) = read {
            self.nowhere(&name, format!("the list cannot be read: {cause}"));
            return;
        }
        let folder = list.parent().unwrap_or(Path::new(""));
        for line in lines.split(|&b| b == b'\n').map(<[u8]>::trim_ascii) {
            if !line.is_empty() && !line.starts_with(b"#") {
                let line = written(line);
                self.path(&folder.join(&line), &file_name(&line), 0);
            }
        }
    }
}

/// The path that a line of a list names.
#[cfg(unix)]
fn written(line: &[u8]) -> std::ffi::OsString {
    std::os::unix::ffi::OsStringExt::from_vec(line.to_vec())
}

/// The path that a line of a list names; where names are Unicode, so is the list.
#[cfg(not(unix))]
fn written(line: &[u8]) -> std::ffi::OsString {
    String::from_utf8_lossy(line).into_owned().into()
}

fn has_ending(path: &Path, ending: &str) -> bool {
    path.extension()
        .is_some_and(|e| e.eq_ignore_ascii_case(ending))
}

/// What systems leave in folders: hidden files, previews.
fn is_no_letter(name: &str) -> bool {
    let hidden = name.starts_with('.') && !matches!(name, "." | "..");
    hidden || matches!(name, "Thumbs.db" | "desktop.ini" | "__MACOSX")
}

/// The archive that a thread reads from, kept open from letter to letter.
#[derive(Default)]
pub(super) struct Opened {
    archive: Option<(Arc<PathBuf>, ZipArchive<std::io::BufReader<std::fs::File>>)>,
}

impl Opened {
    /// The bytes of an entry of an archive; no more than `most` and one.
    pub(super) fn member(
        &mut self,
        path: &Arc<PathBuf>,
        index: usize,
        most: u64,
    ) -> Result<Vec<u8>, String> {
        let held = self.archive.as_ref().is_some_and(|(p, _)| p == path);
        if !held {
            let file =
                std::fs::File::open(path.as_path()).map_err(|e| format!("cannot be read: {e}"))?;
            let archive = ZipArchive::new(std::io::BufReader::new(file))
                .map_err(|_| "is in a damaged archive; pack it again".to_owned())?;
            self.archive = Some((Arc::clone(path), archive));
        }
        let Some((_, archive)) = &mut self.archive else {
            return Err("is in an archive that cannot be read".to_owned());
        };
        let member = archive.by_index(index).map_err(|e| match e {
            zip::result::ZipError::UnsupportedArchive(_) => {
                "is packed in a way that is not known here, or needs a password; unpack it first"
                    .to_owned()
            }
            _ => "is damaged in the archive; pack it again".to_owned(),
        })?;
        let (size, packed) = (member.size(), member.compressed_size());
        if size > most {
            return Err(format!(
                "is larger than {} MB; a letter of operating limitations is far smaller",
                most >> 20
            ));
        }
        let trap = |bytes: u64| bytes > SMALL && bytes / packed.max(1) > RATIO;
        if trap(size) {
            return Err(
                "unpacks to hundreds of times its size, as no letter does; it was left packed"
                    .to_owned(),
            );
        }
        let mut bytes = Vec::new();
        // What an archive says of a size may be a lie.
        let bound = most
            .min(SMALL.max(packed.saturating_mul(RATIO)))
            .saturating_add(1);
        member
            .take(bound)
            .read_to_end(&mut bytes)
            .map_err(|_| "is damaged in the archive; pack it again".to_owned())?;
        if trap(bytes.len() as u64) {
            return Err(
                "unpacks to hundreds of times its size, as no letter does; it was left packed"
                    .to_owned(),
            );
        }
        Ok(bytes)
    }
}
