/* make_boat.c -- a demo boat's files from its scenario.
 *
 *     make_boat SCENARIO FOLDER        plan.ini, frames.pcapng, truth.json
 *     make_boat --random SEED CAUSE MODE FOLDER      these, and boat.sim
 *
 * CAUSE and MODE are the numbers of enum sim_cause_kind and sim_mode.
 * Exit 0 made, 1 a file could not be written, 2 the call or scenario is wrong.
 */
#include "sim.h"

#include <stdlib.h>
#include <string.h>

static char *read_file(const char *path)
{
	char *text = NULL;
	size_t n = 0;
	FILE *in = fopen(path, "r");
	FILE *out = open_memstream(&text, &n);
	if (!in || !out)
		return NULL;
	for (int c; (c = getc(in)) != EOF;)
		putc(c, out);
	fclose(in);
	fclose(out);
	return text;
}

static FILE *create(const char *folder, const char *name)
{
	char path[4096];
	snprintf(path, sizeof path, "%s/%s", folder, name);
	FILE *file = fopen(path, "wb");
	if (!file)
		perror(path);
	return file;
}

static bool write_text(const char *folder, const char *name, const char *text)
{
	FILE *file = create(folder, name);
	if (!file)
		return false;
	fputs(text, file);
	return fclose(file) == 0;
}

static bool write_frames(struct sim_boat *boat, const char *folder)
{
	FILE *file = create(folder, "frames.pcapng");
	if (!file)
		return false;
	struct sim_pcapng *pcapng = sim_pcapng_open(file, boat);
	const struct sim_sink sink = { pcapng, sim_pcapng_frame };
	const sim_time end = sim_run(boat, 0, 0, &sink);
	const bool written = sim_pcapng_close(pcapng, end);
	return fclose(file) == 0 && written;
}

static int make(struct sim_boat *boat, const char *folder)
{
	bool written = write_frames(boat, folder);
	char *plan = sim_plan_text(boat), *truth = sim_truth_json(boat);
	if (sim_wants_plan(boat))
		written &= write_text(folder, "plan.ini", plan);
	written &= write_text(folder, "truth.json", truth);
	free(plan);
	free(truth);
	sim_boat_free(boat);
	return written ? 0 : 1;
}

int main(int argc, char **argv)
{
	char why[200] = "";
	if (argc == 6 && strcmp(argv[1], "--random") == 0) {
		const struct sim_options options = {
			.cause = (enum sim_cause_kind)atoi(argv[3]),
			.mode = (enum sim_mode)atoi(argv[4]), .slow = true };
		struct sim_boat *boat = sim_boat_random(
			strtoull(argv[2], NULL, 10), &options);
		if (!write_text(argv[5], "boat.sim", sim_boat_text(boat)))
			return 1;
		return make(boat, argv[5]);
	}
	if (argc != 3) {
		fputs("make_boat SCENARIO FOLDER\n", stderr);
		return 2;
	}
	char *text = read_file(argv[1]);
	struct sim_boat *boat = text ? sim_boat_read(text, why, sizeof why)
				     : NULL;
	free(text);
	if (!boat) {
		fprintf(stderr, "%s: %s\n", argv[1], *why ? why : "not read");
		return 2;
	}
	return make(boat, argv[2]);
}
