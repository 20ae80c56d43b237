//! Lists by cursor: a page starts after the last row of the one before.

/// Which part of a list is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Page {
    /// The id of the last row of the page before; 0 for the first page.
    pub after: i64,
    /// At most so many rows.
    pub limit: i64,
}

impl Page {
    /// Most rows one page may hold.
    pub const MOST: i64 = 200;

    /// Every row a list may hold, for what is small by nature (a site's banks) or read inside.
    pub const ALL: Self = Self {
        after: 0,
        limit: i64::MAX - 1,
    };

    /// How many rows a query asks for: one more than wanted tells whether another page follows.
    pub const fn fetch(self) -> i64 {
        self.limit + 1
    }

    /// Makes a page of what a query with [`Page::fetch`] rows gave, in order of id.
    pub fn of<T>(self, mut rows: Vec<T>, id: impl Fn(&T) -> i64) -> Paged<T> {
        let limit = usize::try_from(self.limit).unwrap_or(usize::MAX);
        let more = rows.len() > limit;
        rows.truncate(limit);
        let next = if more { rows.last().map(id) } else { None };
        Paged { items: rows, next }
    }
}

/// One page of a list.
#[derive(Clone, Debug)]
pub struct Paged<T> {
    /// The rows.
    pub items: Vec<T>,
    /// Where the next page starts after; none on the last one.
    pub next: Option<i64>,
}

impl<T> Paged<T> {
    /// The same page with each row shaped anew.
    pub fn map<U>(self, shape: impl FnMut(T) -> U) -> Paged<U> {
        Paged {
            items: self.items.into_iter().map(shape).collect(),
            next: self.next,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_tells_where_the_next_one_starts_only_if_there_is_one() {
        let page = Page { after: 0, limit: 2 };
        assert_eq!(page.of(vec![4, 7, 9], |id| *id).next, Some(7));
        assert_eq!(page.of(vec![4, 7], |id| *id).next, None);
    }
}
