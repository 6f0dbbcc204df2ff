//! What a browser hands over: files and pasted text, within limits.

use axum::extract::Multipart;
use axum::extract::multipart::Field;
use axum::http::StatusCode;

/// Bytes of one upload.
pub(super) const BODY: usize = 96 << 20;
/// KiB of letters that are being received or wait to be read, all together.
pub(super) const ROOM: usize = 256 << 10;
/// KiB of an upload that counts as small: a letter of text, or a PDF of a few pages.
pub(super) const SMALL: usize = 512;
/// KiB of small ones, all together.
pub(super) const SMALL_ROOM: usize = 32 << 10;
/// Bytes of text that take more than a moment.
pub(super) const LONG: usize = 64 << 10;
/// Seconds in which an upload has to be there; on one machine it takes a moment.
pub(super) const SECONDS: u64 = 60;
/// Files of one upload.
const FILES: usize = 60;
/// Letters of a survey.
const LETTERS: usize = 500;
/// Characters of a file name that are kept.
const NAME: usize = 120;
/// The name of text that was pasted.
const PASTED: &str = "pasted-text.txt";

/// A file in memory with its name.
pub(super) type Given = (String, Vec<u8>);

/// What is to be done.
#[derive(Debug)]
pub(super) enum Upload {
    /// Files of one letter.
    Letter(Vec<Given>),
    /// An older and a newer letter.
    Two(Vec<Given>, Vec<Given>),
    /// Many letters, a file each.
    Many(Vec<Given>),
}

impl Upload {
    /// The names of the files.
    pub(super) fn names(&self) -> Vec<String> {
        self.files().map(|(name, _)| name.clone()).collect()
    }

    fn files(&self) -> impl Iterator<Item = &Given> {
        let (one, other): (&[Given], &[Given]) = match self {
            Self::Letter(files) | Self::Many(files) => (files, &[]),
            Self::Two(old, new) => (old, new),
        };
        one.iter().chain(other)
    }

    /// Whether it takes more than a moment, though it is text.
    pub(super) fn is_large(&self) -> bool {
        let bytes: usize = self.files().map(|(_, bytes)| bytes.len()).sum();
        matches!(self, Self::Many(_)) || bytes > LONG
    }

    /// Whether a worker process has to read some of it.
    pub(super) fn is_slow(&self) -> bool {
        self.files().any(|(_, bytes)| {
            let head = bytes.get(..bytes.len().min(1024)).unwrap_or_default();
            head.contains(&0) || head.windows(5).any(|w| w == b"%PDF-")
        })
    }
}

/// Why an upload was not taken: the status, and what to do.
pub(super) type Refusal = (StatusCode, String);

/// What is said of an upload that is too large.
pub(super) fn too_large() -> Refusal {
    let mb = BODY >> 20;
    (
        StatusCode::PAYLOAD_TOO_LARGE,
        format!(
            "That is more than {mb} MB. A letter of operating limitations is far smaller: hand over \
             only its pages, and photos in a smaller size."
        ),
    )
}

/// Receives the parts of a form.
pub(super) async fn receive(mut form: Multipart) -> Result<Upload, Refusal> {
    let refused = |e: axum::extract::multipart::MultipartError| {
        if e.status() == StatusCode::PAYLOAD_TOO_LARGE {
            too_large()
        } else {
            (
                StatusCode::BAD_REQUEST,
                "The upload broke off or is damaged. Drop the files again.".to_owned(),
            )
        }
    };
    let (mut files, mut old, mut new) = (Vec::new(), Vec::new(), Vec::new());
    let mut many = Vec::new();
    let mut two = false;
    while let Some(field) = form.next_field().await.map_err(refused)? {
        let slot = match field.name() {
            Some("file") => &mut files,
            Some("old") => {
                two = true;
                &mut old
            }
            Some("new") => {
                two = true;
                &mut new
            }
            Some("many") => &mut many,
            Some("text") => {
                let bytes = bytes(field).await.map_err(refused)?;
                if !bytes.iter().all(u8::is_ascii_whitespace) {
                    files.push((PASTED.to_owned(), bytes));
                }
                continue;
            }
            _ => continue,
        };
        let name = field.file_name().map(file_name);
        let bytes = bytes(field).await.map_err(refused)?;
        match name {
            // a browser sends a nameless, empty file where none was chosen
            Some(name) if !name.is_empty() || !bytes.is_empty() => slot.push((name, bytes)),
            _ => {}
        }
        if many.len() > LETTERS {
            return Err((
                StatusCode::PAYLOAD_TOO_LARGE,
                format!(
                    "Those are more than {LETTERS} files. For so many letters use `whomay survey` in \
                     a terminal."
                ),
            ));
        }
        if files.len() + old.len() + new.len() > FILES {
            return Err((
                StatusCode::PAYLOAD_TOO_LARGE,
                format!("Those are more than {FILES} files. One letter has a few pages."),
            ));
        }
    }
    let missing = |what: &str| Err((StatusCode::BAD_REQUEST, what.to_owned()));
    if two {
        return match (old.is_empty(), new.is_empty()) {
            (false, false) => Ok(Upload::Two(old, new)),
            (true, _) => missing("The older letter is missing. Choose a file for each of the two."),
            _ => missing("The newer letter is missing. Choose a file for each of the two."),
        };
    }
    if files.is_empty() && !many.is_empty() {
        return Ok(Upload::Many(many));
    }
    if files.is_empty() {
        return missing("Nothing was handed over. Choose a file, or paste the text.");
    }
    Ok(Upload::Letter(files))
}

async fn bytes(mut field: Field<'_>) -> Result<Vec<u8>, axum::extract::multipart::MultipartError> {
    let mut all = Vec::new();
    while let Some(chunk) = field.chunk().await? {
        all.extend_from_slice(&chunk);
    }
    Ok(all)
}

/// The name without folders; the end tells the kind of file, so the middle of a long one goes.
fn file_name(name: &str) -> String {
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let count = last.chars().count();
    if count <= NAME {
        return last.to_owned();
    }
    let head: String = last.chars().take(NAME - 20).collect();
    let tail: String = last.chars().skip(count - 19).collect();
    format!("{head}…{tail}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lose_their_folders_and_their_length() {
        assert_eq!(file_name("../../etc/passwd"), "passwd");
        assert_eq!(file_name("C:\\letters\\a.pdf"), "a.pdf");
        let long = file_name(&format!("{}.pdf", "a".repeat(900)));
        assert_eq!(long.chars().count(), NAME);
        assert!(long.ends_with(".pdf"));
    }
}
