/* test_rules.c -- a refusal names the rule that was broken: the `why` of
 * each FL_MALFORMED in src/decode begins with a document that its decoder's
 * `source` names, or the file's own Source where it is no decoder's.
 *
 * Source  decode.h, struct fl_decoder
 * Takes   the sources as text. A `why` that comes out of a table or a macro is
 *         found as the literal it is there: one that begins like a document. */
#include "test.h"

#include "decode/decode.h"

#include <ctype.h>
#include <glob.h>

enum { FILE_MAX = 1 << 16, RULE_MAX = 256 };

struct scan {
	const char *file;
	char        text[FILE_MAX];
	char        block[FILE_MAX];     /* its first comment, on one line */
	unsigned    rules, wrong;
};

static void load(struct scan *s, const char *path)
{
	FILE *f = fopen(path, "r");
	assert_non_null(f);
	const size_t n = fread(s->text, 1, sizeof s->text - 1, f);
	assert_true(feof(f));
	fclose(f);
	s->text[n] = '\0';
	s->file = strrchr(path, '/') + 1;
}

/* What stands at "Source", with line ends, stars and runs of blanks as one
 * blank, up to the next heading: a word at the line's first column. */
static void load_block(struct scan *s)
{
	size_t n = 0;
	const char *at = strstr(s->text, "\n * Source ");
	const char *end = strstr(s->text, "*/");
	for (at = at && at < end ? at + 10 : end; at && at < end; at++) {
		if (strncmp(at, "\n * ", 4) == 0 && isalpha((unsigned char)at[4]))
			break;
		const bool blank = isspace((unsigned char)*at) || *at == '*';
		if (!blank)
			s->block[n++] = *at;
		else if (n && s->block[n - 1] != ' ')
			s->block[n++] = ' ';
	}
	s->block[n] = '\0';
}

/* Whether `text` names the document: RFC 76 does not stand in RFC 768. */
static bool names(const char *text, const char *document)
{
	const size_t n = strlen(document);
	for (const char *at = text; (at = strstr(at, document)); at += n)
		if (!isalnum((unsigned char)at[n]) && at[n] != '.')
			return true;
	return false;
}

/* dhcp4.c and dhcp4_read.c are dhcp4's; nd.c is a helper, nobody's own. */
static const struct fl_decoder *owner(const char *file)
{
	for (size_t i = 0; i < fl_decoder_count; i++) {
		const size_t n = strlen(fl_decoders[i].name);
		if (strncmp(file, fl_decoders[i].name, n) == 0 &&
		    (file[n] == '.' || file[n] == '_'))
			return &fl_decoders[i];
	}
	return NULL;
}

static bool is_named(const struct scan *s, const char *document)
{
	const struct fl_decoder *d = owner(s->file);
	return names(d ? d->source : s->block, document);
}

/* A rule is a document, then a section or a colon. */
static void cut_to_document(char *rule)
{
	static const char *const ends[] = { " section", " clause", ":" };
	for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
		char *end = strstr(rule, ends[i]);
		if (end)
			*end = '\0';
	}
}

static bool begins_like_a_document(const char *literal)
{
	static const char *const words[] = { "RFC ", "IEEE ", "ANSI", "UPnP " };
	for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
		if (strncmp(literal, words[i], strlen(words[i])) == 0)
			return true;
	return false;
}

/* Whether a literal at `at` is the argument behind FL_MALFORMED. */
static bool is_why(const char *text, const char *at)
{
	static const char before[] = "FL_MALFORMED,";
	const size_t n = sizeof before - 1;
	while (at > text && isspace((unsigned char)at[-1]))
		at--;
	return (size_t)(at - text) >= n && memcmp(at - n, before, n) == 0;
}

static void check_literal(struct scan *s, const char *quote, size_t n)
{
	char rule[RULE_MAX];
	assert_in_range(n, 0, sizeof rule - 1);
	memcpy(rule, quote + 1, n);
	rule[n] = '\0';
	if (!is_why(s->text, quote) && !begins_like_a_document(rule))
		return;
	s->rules++;
	cut_to_document(rule);
	if (!*rule || !is_named(s, rule)) {
		print_error("%s: no source is named \"%s\"\n", s->file, rule);
		s->wrong++;
	}
}

/* Octets from an opening quote to before the closing one. */
static size_t quoted(const char *quote)
{
	size_t n = 1;
	while (quote[n] && quote[n] != quote[0])
		n += quote[n] == '\\' && quote[n + 1] ? 2 : 1;
	return n - 1;
}

static void scan_literals(struct scan *s)
{
	for (const char *at = s->text; *at; at++) {
		if (strncmp(at, "/*", 2) == 0) {
			at = strstr(at, "*/");
			assert_non_null(at);
			at++;
		} else if (*at == '"' || *at == '\'') {
			const size_t n = quoted(at);
			if (*at == '"')
				check_literal(s, at, n);
			at += n + 1;
		}
	}
}

static unsigned rules_of(const char *path)
{
	static struct scan s;
	s.rules = s.wrong = 0;
	load(&s, path);
	load_block(&s);
	scan_literals(&s);
	assert_int_equal(s.wrong, 0);
	return s.rules;
}

static void each_refusal_begins_with_a_document_that_is_named(void **state)
{
	(void)state;
	glob_t files;
	unsigned rules = 0;
	assert_int_equal(glob(FL_TOP "/src/decode/*.c", 0, NULL, &files), 0);
	for (size_t i = 0; i < files.gl_pathc; i++)
		rules += rules_of(files.gl_pathv[i]);
	globfree(&files);
	assert_true(rules > 50);
}

static void a_document_is_not_found_within_the_number_of_another(void **state)
{
	(void)state;
	assert_true(names("RFC 7680, RFC 768", "RFC 768"));
	assert_false(names("RFC 7680", "RFC 768"));
	assert_false(names("IEEE Std 802.1AB-2016", "IEEE Std 802.1A"));
}

static void a_file_is_held_to_its_own_decoder(void **state)
{
	(void)state;
	static const struct scan arp = { .file = "arp.c" };
	assert_string_equal(owner("dhcp4_read.c")->name, "dhcp4");
	assert_null(owner("nd.c"));
	assert_false(is_named(&arp, "RFC 2131"));
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(each_refusal_begins_with_a_document_that_is_named),
		cmocka_unit_test(
			a_document_is_not_found_within_the_number_of_another),
		cmocka_unit_test(a_file_is_held_to_its_own_decoder),
	};
	return FL_RUN(tests);
}
