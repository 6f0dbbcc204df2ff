//! Names of files as people see them.

use std::ffi::OsStr;

/// The name of a file as text. A name may hold what is no Unicode; each such byte is written as
/// `\xE9`, so that names which differ in nothing else do not look the same.
#[must_use]
pub(crate) fn file_name(name: &(impl AsRef<OsStr> + ?Sized)) -> String {
    let mut out = String::new();
    for piece in name.as_ref().as_encoded_bytes().utf8_chunks() {
        out.push_str(piece.valid());
        for byte in piece.invalid() {
            out.push_str(&format!("\\x{byte:02X}"));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unicode_stays_as_it_is() {
        assert_eq!(
            file_name("a/caf\u{e9} \u{2708}.txt"),
            "a/caf\u{e9} \u{2708}.txt"
        );
        assert_eq!(file_name(""), "");
    }

    #[cfg(unix)]
    #[test]
    fn other_bytes_are_told_apart() {
        use std::os::unix::ffi::OsStrExt;
        let shown = |bytes: &[u8]| file_name(OsStr::from_bytes(bytes));
        assert_eq!(shown(b"caf\xe9.txt"), "caf\\xE9.txt");
        assert_eq!(shown(b"caf\xe8.txt"), "caf\\xE8.txt");
        assert_eq!(shown(b"\xff\xc3\xa9\xc3"), "\\xFF\u{e9}\\xC3");
    }
}
