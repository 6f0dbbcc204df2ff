//! The bits of a scan and the codes in them (ITU-T T.81, annexes C, F and G).

/// So many bytes may stand between the last block and the next marker; makers of pictures leave none.
const LEFT_OVER: usize = 2;

/// A table of codes: length and meaning by the next 16 bits; length 0 where there is no such code.
pub(super) struct Codes(Vec<(u8, u8)>);

impl Codes {
    /// From the number of codes of each length and their meanings (T.81, annex C).
    pub(super) fn of(counts: &[u8], meanings: &[u8]) -> Option<Self> {
        let mut table = Vec::with_capacity(1 << 16);
        let mut meanings = meanings.iter();
        for (length, &count) in (1_u8..=16).zip(counts) {
            for _ in 0..count {
                let meaning = *meanings.next()?;
                table.resize(table.len() + (1 << (16 - length)), (length, meaning));
                if table.len() > 1 << 16 {
                    return None;
                }
            }
        }
        table.resize(1 << 16, (0, 0));
        Some(Self(table))
    }
}

/// The bits of a scan, without what is stuffed into it.
pub(super) struct Bits<'a> {
    data: &'a [u8],
    at: usize,
    held: u64,
    count: u32,
}

impl<'a> Bits<'a> {
    pub(super) const fn of(data: &'a [u8]) -> Self {
        Self {
            data,
            at: 0,
            held: 0,
            count: 0,
        }
    }

    /// Takes bytes up to the next marker in.
    fn fill(&mut self) {
        while self.count <= 48 {
            let Some(&byte) = self.data.get(self.at) else {
                return;
            };
            if byte == 0xff && self.data.get(self.at + 1) != Some(&0) {
                return;
            }
            self.at += if byte == 0xff { 2 } else { 1 };
            self.held = self.held << 8 | u64::from(byte);
            self.count += 8;
        }
    }

    /// The next bits, no more than 16.
    pub(super) fn take(&mut self, many: u32) -> Option<u32> {
        if self.count < many {
            self.fill();
        }
        self.count = self.count.checked_sub(many)?;
        u32::try_from(self.held >> self.count & ((1 << many) - 1)).ok()
    }

    fn code(&mut self, codes: &Codes) -> Option<u8> {
        if self.count < 16 {
            self.fill();
        }
        let next = if self.count < 16 {
            self.held << (16 - self.count)
        } else {
            self.held >> (self.count - 16)
        };
        let &(length, meaning) = codes.0.get(usize::try_from(next & 0xffff).ok()?)?;
        self.count = self.count.checked_sub(u32::from(length))?;
        (length > 0).then_some(meaning)
    }

    /// A block, and by how much its first value differs from that of the last one (T.81, F.1.2).
    pub(super) fn block(&mut self, first: &Codes, others: &Codes, eight: bool) -> Option<i32> {
        let difference = self.first(first, eight)?;
        let most = if eight { 10 } else { 14 };
        let mut place = 1;
        while place < 64 {
            let code = self.code(others)?;
            let (zeros, size) = (code >> 4, code & 15);
            match (zeros, size) {
                (0, 0) => break,
                (15, 0) => place += 16,
                (_, 0) => return None,
                _ => {
                    place += zeros + 1;
                    if size > most {
                        return None;
                    }
                    self.take(u32::from(size))?;
                }
            }
            if place > 64 {
                return None;
            }
        }
        Some(difference)
    }

    /// By how much the first value of a block differs from that of the last one (T.81, F.1.2.1).
    pub(super) fn first(&mut self, codes: &Codes, eight: bool) -> Option<i32> {
        let size = self.code(codes)?;
        if size > if eight { 11 } else { 15 } {
            return None;
        }
        let value = i32::try_from(self.take(u32::from(size))?).ok()?;
        Some(if size > 0 && value < 1 << (size - 1) {
            value - (1 << size) + 1
        } else {
            value
        })
    }

    /// The other values of a block, told for the first time in a progressive picture (T.81, G.1.2.2).
    /// `marks` has a bit for each value that is not zero, `run` counts the blocks that end here.
    pub(super) fn others(
        &mut self,
        codes: &Codes,
        band: (u8, u8),
        marks: &mut u64,
        run: &mut u32,
    ) -> Option<()> {
        if *run > 0 {
            *run -= 1;
            return Some(());
        }
        let (mut place, last) = band;
        while place <= last {
            let code = self.code(codes)?;
            let (zeros, size) = (code >> 4, code & 15);
            match (zeros, size) {
                (15, 0) => place += 16,
                (_, 0) => {
                    *run = (1 << zeros) + self.take(u32::from(zeros))? - 1;
                    return Some(());
                }
                _ => {
                    place += zeros + 1;
                    if size > 14 || place > last + 1 {
                        return None;
                    }
                    *marks |= 1 << (place - 1);
                    self.take(u32::from(size))?;
                }
            }
        }
        (place == last + 1).then_some(())
    }

    /// One bit more of the other values of a block (T.81, G.1.2.3): of those that are not zero, and
    /// which of the rest are not.
    pub(super) fn others_refined(
        &mut self,
        codes: &Codes,
        band: (u8, u8),
        marks: &mut u64,
        run: &mut u32,
    ) -> Option<()> {
        let (mut place, last) = band;
        let known = *marks;
        let is_known = |place: u8| known >> place & 1 == 1;
        while *run == 0 && place <= last {
            let code = self.code(codes)?;
            let (mut zeros, size) = (code >> 4, code & 15);
            match (zeros, size) {
                (15, 0) => {}
                (_, 0) => {
                    *run = (1 << zeros) + self.take(u32::from(zeros))?;
                    break;
                }
                (_, 1) => {
                    self.take(1)?;
                }
                _ => return None,
            }
            // over the zeros, past what is known
            loop {
                if place > last {
                    return None;
                }
                if is_known(place) {
                    self.take(1)?;
                } else if zeros == 0 {
                    break;
                } else {
                    zeros -= 1;
                }
                place += 1;
            }
            if size == 1 {
                *marks |= 1 << place;
            }
            place += 1;
        }
        if *run > 0 {
            for _ in (place..=last).filter(|&place| is_known(place)) {
                self.take(1)?;
            }
            *run -= 1;
        }
        Some(())
    }

    /// Goes behind the restart marker of that number.
    pub(super) fn restart(&mut self, number: u32) -> Option<()> {
        if self.left_over() > LEFT_OVER {
            return None;
        }
        (self.held, self.count) = (0, 0);
        self.skip_to_marker();
        let marker = *self.data.get(self.at + 1)?;
        self.at += 2;
        (u32::from(marker) == 0xd0 + number % 8).then_some(())
    }

    /// Where the next marker begins, if nothing of the scan stands before or behind it.
    pub(super) fn end(mut self) -> Option<usize> {
        if self.left_over() > LEFT_OVER {
            return None;
        }
        self.skip_to_marker();
        let marker = self.data.get(self.at + 1);
        (!matches!(marker, Some(0xd0..=0xd7))).then_some(self.at)
    }

    /// Bytes that were not used up to the next marker, but for those that only fill up.
    fn left_over(&self) -> usize {
        let held = usize::try_from(self.count / 8).unwrap_or(usize::MAX);
        let rest = self.data.get(self.at..).unwrap_or_default();
        let marker = |pair: &[u8]| pair.first() == Some(&0xff) && pair.get(1) != Some(&0);
        let end = rest.windows(2).position(marker).unwrap_or(rest.len());
        let rest = rest.get(..end).unwrap_or_default();
        held + rest.iter().filter(|&&b| b != 0 && b != 0xff).count()
    }

    /// Goes to the last byte 0xff before the next marker.
    fn skip_to_marker(&mut self) {
        let rest = self.data.get(self.at..).unwrap_or_default();
        let marker =
            |pair: &[u8]| pair.first() == Some(&0xff) && !matches!(pair.get(1), Some(0 | 0xff));
        self.at += rest.windows(2).position(marker).unwrap_or(rest.len());
    }
}
