/// A long list that comes in pieces and is never copied: each piece stays where it was made.
#[derive(Clone, Debug)]
pub(super) struct Chunks<T> {
    /// None is empty.
    lists: Vec<Vec<T>>,
    /// Numbers of their first in the whole list.
    starts: Vec<usize>,
    len: usize,
}

impl<T> Default for Chunks<T> {
    fn default() -> Self {
        Self { lists: Vec::new(), starts: Vec::new(), len: 0 }
    }
}

impl<T> Chunks<T> {
    /// Adds a piece at the end. One that has room for more than twice what it holds is copied after all.
    pub(super) fn push(&mut self, mut list: Vec<T>) {
        if !list.is_empty() {
            if list.capacity() / 2 > list.len() {
                list.shrink_to_fit();
            }
            self.starts.push(self.len);
            self.len += list.len();
            self.lists.push(list);
        }
    }

    /// Number of all.
    pub(super) const fn len(&self) -> usize {
        self.len
    }

    /// The one of a number, if there is.
    pub(super) fn get(&self, number: usize) -> Option<&T> {
        let at = self.starts.partition_point(|start| *start <= number).checked_sub(1)?;
        self.lists.get(at)?.get(number - self.starts.get(at)?)
    }

    /// How many come first for which something holds, which holds for none behind one for which it does not.
    pub(super) fn partition_point(&self, holds: impl Fn(&T) -> bool) -> usize {
        let at = self.lists.partition_point(|list| list.last().is_some_and(&holds));
        match (self.lists.get(at), self.starts.get(at)) {
            (Some(list), Some(start)) => start + list.partition_point(holds),
            _ => self.len,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_are_one_list() {
        let mut chunks = Chunks::default();
        for piece in [vec![], vec![0, 1, 2], vec![], vec![3], vec![4, 5], vec![]] {
            chunks.push(piece);
        }
        assert_eq!(chunks.len(), 6);
        assert_eq!(
            (0..8).map(|n| chunks.get(n).copied()).collect::<Vec<_>>(),
            [0, 1, 2, 3, 4, 5].map(Some).into_iter().chain([None; 2]).collect::<Vec<_>>()
        );
        for first in 0..8 {
            assert_eq!(chunks.partition_point(|n| *n < first), first.min(6));
        }
        assert_eq!(
            (Chunks::<u8>::default().get(0), Chunks::<u8>::default().partition_point(|_| true)),
            (None, 0)
        );
    }
}
