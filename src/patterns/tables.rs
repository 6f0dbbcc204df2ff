//! Tables that stand in the program as they are used: the build lays them out (`src/build.rs`), the program
//! only finds where each begins. What it compiles itself has the same form and is held in memory.

use std::borrow::Cow;

use zerocopy::{FromBytes, Immutable, IntoBytes};

/// A table: of the program, or made by it.
pub(crate) type Table<T> = Cow<'static, [T]>;

/// Stands before the tables; on a machine that writes numbers another way, or whose words have another
/// length, it reads otherwise.
const MARK: [u8; UNIT] = (0x0102_0304_0506_0700 | usize::BITS as u64).to_ne_bytes();

/// Each table begins at a multiple of so many bytes.
const UNIT: usize = 8;

/// Bytes that begin where every table can.
#[repr(C, align(8))]
pub(super) struct Aligned<T: ?Sized>(pub(super) T);

/// What can be laid out in tables.
pub(crate) trait Stored: Sized {
    /// Writes its tables.
    fn store(&self, to: &mut Store);
    /// Finds its tables, in the order in which they were written; `None` where they are others.
    fn find(from: &mut Finder) -> Option<Self>;
}

/// Tables one behind the other.
#[derive(Debug)]
pub(crate) struct Store(Vec<u8>);

impl Store {
    /// The tables of a value.
    #[allow(dead_code, reason = "the build alone writes them")]
    pub(crate) fn of(value: &impl Stored) -> Vec<u8> {
        let mut store = Self(MARK.to_vec());
        value.store(&mut store);
        store.0
    }

    pub(crate) fn add(&mut self, bytes: &[u8]) {
        self.0.extend((bytes.len() as u64).to_ne_bytes());
        self.0.extend(bytes);
        self.0.resize(self.0.len().next_multiple_of(UNIT), 0);
    }
}

/// What is left of the tables of the program.
#[derive(Debug)]
pub(crate) struct Finder(&'static [u8]);

impl Finder {
    /// The value of which these are the tables.
    pub(crate) fn find<T: Stored>(bytes: &'static [u8]) -> Option<T> {
        T::find(&mut Self(bytes.strip_prefix(&MARK)?))
    }

    pub(crate) fn next(&mut self) -> Option<&'static [u8]> {
        let (length, rest) = self.0.split_first_chunk::<UNIT>()?;
        let length = usize::try_from(u64::from_ne_bytes(*length)).ok()?;
        self.0 = rest.get(length.next_multiple_of(UNIT)..)?;
        rest.get(..length)
    }
}

/// What a table can be of: numbers, and rows of numbers without a gap.
pub(crate) trait Flat: Clone + FromBytes + IntoBytes + Immutable + 'static {}
impl<T: Clone + FromBytes + IntoBytes + Immutable + 'static> Flat for T {}

impl<T: Flat> Stored for Table<T> {
    fn store(&self, to: &mut Store) {
        to.add(self.as_bytes());
    }

    fn find(from: &mut Finder) -> Option<Self> {
        <[T]>::ref_from_bytes(from.next()?).ok().map(Cow::Borrowed)
    }
}

impl<T: Stored> Stored for Vec<T> {
    fn store(&self, to: &mut Store) {
        u32::try_from(self.len()).unwrap_or(u32::MAX).store(to);
        self.iter().for_each(|one| one.store(to));
    }

    fn find(from: &mut Finder) -> Option<Self> {
        (0..u32::find(from)?).map(|_| T::find(from)).collect()
    }
}

/// A struct is its fields, one behind the other.
macro_rules! stored {
    ($name:ident $(<$of:ident>)? { $($field:ident),* $(,)? }) => {
        impl $(<$of: $crate::patterns::tables::Flat>)? $crate::patterns::tables::Stored for $name $(<$of>)? {
            fn store(&self, to: &mut $crate::patterns::tables::Store) {
                $($crate::patterns::tables::Stored::store(&self.$field, to);)*
            }

            fn find(from: &mut $crate::patterns::tables::Finder) -> Option<Self> {
                $(let $field = $crate::patterns::tables::Stored::find(from)?;)*
                Some(Self { $($field),* })
            }
        }
    };
}
pub(crate) use stored;

/// What is small is written down, and loaded.
macro_rules! small {
    ($($small:ty),* $(,)?) => {$(
        impl $crate::patterns::tables::Stored for $small {
            fn store(&self, to: &mut $crate::patterns::tables::Store) {
                to.add(&postcard::to_stdvec(self).expect("memory can be written"));
            }

            fn find(from: &mut $crate::patterns::tables::Finder) -> Option<Self> {
                postcard::from_bytes(from.next()?).ok()
            }
        }
    )*};
}
pub(crate) use small;

small!(
    u16,
    u32,
    Vec<String>,
    rustc_hash::FxHashMap<u32, u8>,
    rustc_hash::FxHashMap<u32, u16>
);
